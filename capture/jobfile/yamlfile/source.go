package yamlfile

import (
	"strings"

	"github.com/goccy/go-yaml/token"
)

// source is a file with the places of its tokens.
type source struct {
	file     string
	text     string
	spans    map[*token.Token]span
	comments []span
}

// span is a stretch of a file, in bytes.
type span struct{ from, to int }

// locate finds tokens in the file that they come from, where they follow each other
// with nothing but blanks between them. The places that the library gives do not
// serve: its offsets drift behind comments and escapes, and its columns leave tabs
// and blanks at the end of a line out. If tokens and file do not fit together, as
// behind a tab in double quotes, none has a place.
func locate(file, text string, tokens token.Tokens) *source {
	s := &source{file: file, text: text, spans: map[*token.Token]span{}}
	at := len(text) - len(strings.TrimPrefix(text, "\ufeff"))
	for _, t := range tokens {
		from, to := s.find(t, at)
		if from < 0 {
			s.spans = nil
			return s
		}
		if t.Type == token.CommentType {
			s.comments = append(s.comments, span{from, to})
		}
		s.spans[t] = span{from, to}
		at = to
	}
	return s
}

// find is the place of a token at or behind another place; from is -1 if something
// else is there.
func (s *source) find(t *token.Token, at int) (from, to int) {
	from = at + len(s.text[at:]) - len(strings.TrimLeft(s.text[at:], blanks))
	switch {
	case t.Type == token.CommentType && strings.HasPrefix(s.text[from:], "#"):
		return from, LineEnd(s.text, from)
	case t.Type == token.SingleQuoteType && strings.HasPrefix(s.text[from:], "'"):
		return from, from + quoted(s.text[from:])
	case t.Type == token.DoubleQuoteType && strings.HasPrefix(s.text[from:], `"`):
		return from, from + quoted(s.text[from:])
	}
	from, to = -1, at // the library changes blanks within a token, and nothing else
	for _, word := range strings.FieldsFunc(t.Origin, func(r rune) bool { return strings.ContainsRune(blanks, r) }) {
		to += len(s.text[to:]) - len(strings.TrimLeft(s.text[to:], blanks))
		if !strings.HasPrefix(s.text[to:], word) {
			return -1, 0
		}
		if from < 0 {
			from = to
		}
		to += len(word)
	}
	return max(from, at), to
}

const blanks = " \t\r\n"

// quoted is the length of the text in quotes that a text begins with.
func quoted(s string) int {
	for i := 1; i < len(s); i++ {
		switch {
		case s[0] == '"' && s[i] == '\\':
			i++
		case s[i] == s[0] && s[0] == '\'' && strings.HasPrefix(s[i+1:], "'"):
			i++
		case s[i] == s[0]:
			return i + 1
		}
	}
	return len(s)
}

// LineEnd is where the line ends on which a place lies, before its line break.
func LineEnd(text string, at int) int {
	if i := strings.IndexAny(text[at:], "\r\n"); i >= 0 {
		return at + i
	}
	return len(text)
}

// Placed tells whether nodes have their places in bytes.
func (n *Node) Placed() bool { return n.spans != nil }

// Comments are those within a stretch of the file, each from its # on.
func (n *Node) Comments(from, to int) []string {
	var out []string
	for _, c := range n.comments {
		if from <= c.from && c.to <= to {
			out = append(out, n.text[c.from:c.to])
		}
	}
	return out
}

// stand gives a node its place from one token to another.
func (n *Node) stand(first, last *token.Token) {
	n.From, n.To = n.spans[first].from, max(n.spans[first].to, n.spans[last].to)
	n.Lead = n.From
}

// written gives a node in brackets its place.
func (n *Node) written(braces bool, first, last *token.Token) {
	if n.braces = braces; braces {
		n.Flow = true
		n.stand(first, last)
	}
}

// holds places a child behind what leads to it, which ends with another token, and
// extends a node in lines of its own over it.
func (n *Node) holds(child *Node, lead, last *token.Token) {
	child.Lead = n.spans[lead].from
	if child.Kind == Null {
		child.Indent = n.Indent + 2
		if child.To == 0 { // the library has made it up
			child.From, child.To = n.spans[last].to, n.spans[last].to
		}
	}
	if !n.braces {
		if len(n.Keys)+len(n.Items) == 1 {
			n.From, n.Lead = child.Lead, child.Lead
		}
		n.To = child.To
	}
}
