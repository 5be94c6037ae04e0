// Package yamlfile reads the small part of YAML that people write by hand, in
// mappings, lists and plain or quoted text, and keeps every text as typed with
// its line and column. Whatever could surprise (aliases, tags, several
// documents, .nan) or eat memory is refused in one line.
//
// The scanner and parser are those of a library. The step from its tree to Go
// values is made here, since the library's own decoder turns 0417 into 271 and
// 1.5 into 1 where a whole number is due.
package yamlfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/scanner"
	"github.com/goccy/go-yaml/token"
)

// Bounds on a file. A job of a hundred recordings needs a fiftieth of them.
const (
	MaxBytes      = 1 << 20
	maxIndicators = 60_000 // characters that may begin or end an entry, counted before the scanner sees them
	maxTokens     = 40_000
	maxDepth      = 24
)

// Pos is a place in a file; both count from 1.
type Pos struct{ Line, Column int }

// Error says where a file is wrong and what was expected there.
type Error struct {
	File string
	At   Pos // zero: the file as a whole
	Text string

	cause error
}

// Unwrap is the kind of error, where it has one.
func (e *Error) Unwrap() error { return e.cause }

func (e *Error) Error() string {
	if e.At.Line == 0 {
		return fmt.Sprintf("%s: %s", e.File, e.Text)
	}
	return fmt.Sprintf("%s, line %d, column %d: %s", e.File, e.At.Line, e.At.Column, e.Text)
}

// Kind is the shape of a node.
type Kind int

const (
	Null Kind = iota
	Scalar
	Mapping
	Sequence
)

// Node is one value of a file with its place.
type Node struct {
	Kind  Kind
	Text  string // of a scalar, as typed
	Plain bool   // a scalar without quotes
	At    Pos
	Keys  []Key   // of a mapping, in their order
	Items []*Node // of a sequence
	Name  string  // the key under which it stands; empty at the top

	// Where it stands, in bytes of the file: Lead is where its key or dash begins
	// (From if it has none), From to To the value, without comments around it. Both lie
	// behind the colon or dash where nothing stands.
	Lead, From, To int
	Flow           bool // within { } or [ ], or written in them
	Indent         int  // blanks before its entries in lines of their own, or before those that it may get

	braces bool // written in { } or [ ]
	*source
}

// Key is one entry of a mapping.
type Key struct {
	Name  string
	At    Pos
	Value *Node
}

// Parse reads one YAML document. file is named in errors. An empty document is
// a Null node.
func Parse(file string, data []byte) (n *Node, err error) {
	text, err := clean(file, data)
	if err != nil {
		return nil, err
	}
	defer func() { // the library has panicked on hostile input in the past
		if p := recover(); p != nil {
			n, err = nil, &Error{File: file, Text: "is not readable as YAML: check quotes, brackets and indentation"}
		}
	}()
	tokens, err := tokenize(file, text)
	if err != nil {
		return nil, err
	}
	tree, err := parser.Parse(tokens, 0)
	if err != nil {
		return nil, syntax(file, err)
	}
	b := builder{locate(file, string(data), tokens)}
	if len(tree.Docs) == 0 || tree.Docs[0].Body == nil {
		return &Node{At: Pos{1, 1}, source: b.source}, nil
	}
	return b.node(tree.Docs[0].Body, "", 0, false)
}

const tooMany = "holds far more entries than a file of this kind needs"

// TooLarge is the error of a file of more than MaxBytes.
func TooLarge(file string) error {
	return &Error{File: file, Text: "is larger than 1 MiB, too large for a file of this kind"}
}

// clean checks size and characters, and drops a byte-order mark.
func clean(file string, data []byte) (string, error) {
	if len(data) > MaxBytes {
		return "", TooLarge(file)
	}
	if bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}) {
		return "", &Error{File: file, Text: "is in UTF-16: save it as UTF-8"}
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text)
	at, indicators := Pos{1, 1}, 0
	for i, r := range text {
		if strings.ContainsRune("[]{},:\"'&*!?@`|>-\n", r) {
			indicators++
		}
		switch {
		case r == utf8.RuneError && !strings.HasPrefix(text[i:], "\ufffd"):
			return "", &Error{File: file, At: at, Text: "holds a character that is not UTF-8: save the file as UTF-8"}
		case r < ' ' && r != '\n' && r != '\t', r == 0x7f, r == '\ufeff', r == '\u2028', r == '\u2029':
			return "", &Error{File: file, At: at, Text: fmt.Sprintf("holds the unprintable character U+%04X: delete it", r)}
		}
		at.Column++
		if r == '\n' {
			at = Pos{at.Line + 1, 1}
		}
	}
	if indicators > maxIndicators {
		return "", &Error{File: file, Text: tooMany}
	}
	return text, nil
}

// refused are tokens that a file of this kind has no use for.
var refused = map[token.Type]string{
	token.AnchorType:     "an anchor (&) is not allowed: put text that begins with & in quotes",
	token.AliasType:      "an alias (*) is not allowed: put text that begins with * in quotes",
	token.TagType:        "a tag (!) is not allowed: put text that begins with ! in quotes",
	token.MergeKeyType:   "a merge key (<<) is not allowed: write the entries out",
	token.DirectiveType:  "a directive (%) is not allowed: put text that begins with % in quotes",
	token.MappingKeyType: "a key that begins with ? is not allowed: put it in quotes",
	token.InfinityType:   "infinity is no figure: write a number, or put it in quotes if it is text",
	token.NanType:        "nan is no figure: write a number, or put it in quotes if it is text",
	token.InvalidType:    "is not readable as YAML here: check quotes and indentation",
}

// tokenize scans a text, and stops as soon as it grows too large or too deep:
// the parser behind it recurses, and a stack overflow cannot be caught.
func tokenize(file, text string) (token.Tokens, error) {
	var s scanner.Scanner
	s.Init(text)
	var tokens token.Tokens
	var nest nesting
	for {
		next, err := s.Scan()
		if errors.Is(err, io.EOF) {
			return tokens, nil
		}
		if err != nil {
			return nil, syntax(file, err)
		}
		for _, t := range next {
			if why := nest.check(t, len(tokens)); why != "" {
				return nil, &Error{File: file, At: place(t), Text: why}
			}
			tokens.Add(t)
		}
		if len(tokens) > maxTokens {
			return nil, &Error{File: file, Text: tooMany}
		}
	}
}

// nesting follows how deep brackets and dashes on one line go.
type nesting struct{ brackets, dashes, line int }

func (n *nesting) check(t *token.Token, before int) string {
	switch t.Type {
	case token.MappingStartType, token.SequenceStartType:
		n.brackets++
	case token.MappingEndType, token.SequenceEndType:
		n.brackets--
	case token.SequenceEntryType:
		if t.Position.Line != n.line {
			n.line, n.dashes = t.Position.Line, 0
		}
		n.dashes++
	case token.DocumentHeaderType, token.DocumentEndType:
		if before > 0 {
			return "a second document (--- or ...) is not allowed: keep one document in a file"
		}
	}
	if n.brackets > maxDepth || n.dashes > maxDepth || t.Position.IndentNum > 40*maxDepth {
		return "is nested too deeply"
	}
	return refused[t.Type]
}

func place(t *token.Token) Pos {
	if t == nil || t.Position == nil {
		return Pos{}
	}
	return Pos{max(1, t.Position.Line), max(1, t.Position.Column)}
}

// plainWords say in words of ours what the library found most often.
var plainWords = []struct{ found, say string }{
	{"cannot start any token", "a line begins with a tab: indent with spaces"},
	{"could not find end character of", "a text in quotes is not closed: add the quote at its end"},
	{"mapping value is not allowed", "a colon is not expected here: text with a colon needs quotes"},
	{"value is not allowed in this context", "this is not expected here: check that lines which belong together begin in the same column"},
	{"flow mapping end token", "a { is not closed: add the }"},
	{"sequence end token", "a [ is not closed: add the ]"},
	{"',' or '}' must be specified", "a comma or } is missing here, or text goes on behind its quotes: put all of a text in one pair of quotes"},
	{"',' or ']' must be specified", "a comma or ] is missing here, or text goes on behind its quotes: put all of a text in one pair of quotes"},
	{"is a reserved character", "text that begins with this character needs quotes"},
}

// syntax turns the library's error into one line of ours.
func syntax(file string, err error) error {
	var text string
	var at *token.Token
	var parsed yaml.Error
	var scanned *scanner.InvalidTokenError
	switch {
	case errors.As(err, &scanned):
		text, at = scanned.Token.Error, scanned.Token
	case errors.As(err, &parsed):
		text, at = parsed.GetMessage(), parsed.GetToken()
	default:
		return &Error{File: file, Text: "is not readable as YAML: check quotes, brackets and indentation"}
	}
	text = strings.Join(strings.Fields(text), " ")
	for _, w := range plainWords {
		if strings.Contains(text, w.found) {
			return &Error{File: file, At: place(at), Text: w.say}
		}
	}
	if strings.Contains(text, "already defined") { // mapping key "a" already defined at [1:1]
		text = strings.NewReplacer("mapping key", "key", "already defined at [", "is there twice, first on line ", "]", "").Replace(text)
		text, _, _ = strings.Cut(text, ":")
		return &Error{File: file, At: place(at), Text: text + ": keep one of them"}
	}
	return &Error{File: file, At: place(at), Text: "is not readable as YAML, check quotes, brackets and indentation: " + text}
}
