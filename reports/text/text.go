// Package text shows a document on a terminal or in a plain text file, 80
// columns wide unless told otherwise.
//
// What is shown, and how:
//   - a heading stands at the left edge, what it holds is set in by two;
//   - tables are as wide as their cells and never wrap: only the last column may,
//     under itself;
//   - a figure stands on its decimal point, its interval beside it;
//   - warnings begin with "warning:", in colour or not;
//   - the answer is the last line, its parts set apart by four spaces;
//   - colour only repeats what words say, so it can be left out.
package text

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"hisspoint/reports/doc"
)

// Options of the renderer.
type Options struct {
	Width int  // columns; 0 is 80
	Color bool // colour verdicts and warnings
	Fold  bool // break the answer between its parts where it is wider than Width
	Airy  bool // a blank line between blocks, as in a page that is read
}

const indent = "  "

// Write renders a document.
func Write(w io.Writer, d doc.Document, o Options) error {
	if o.Width == 0 {
		o.Width = 80
	}
	r := &renderer{o: o}
	if d.Title != "" {
		r.heading(d.Title)
		r.line("")
	}
	for i, b := range d.Blocks {
		if _, heading := b.(doc.Heading); o.Airy && i > 0 && !heading {
			r.line("")
		}
		r.block(b, i == 0)
	}
	_, err := io.WriteString(w, r.b.String())
	return err
}

type renderer struct {
	o Options
	b strings.Builder
}

func (r *renderer) line(s string) {
	r.b.WriteString(strings.TrimRight(s, " "))
	r.b.WriteByte('\n')
}

func (r *renderer) block(b doc.Block, first bool) {
	switch b := b.(type) {
	case doc.Heading:
		if !first {
			r.line("")
		}
		r.heading(b.Text)
		r.wrapped(indent, indent, b.Note)
	case doc.Paragraph:
		r.wrapped("", "", b.Text)
	case doc.List:
		for i, item := range b.Items {
			mark := indent + "- "
			if b.Numbered {
				mark = fmt.Sprintf("%s%d. ", indent, i+1)
			}
			r.wrapped(mark, strings.Repeat(" ", len(mark)), item)
		}
	case doc.Code:
		for _, l := range b.Lines {
			r.line(indent + l)
		}
	case doc.Cards:
		r.cards(b)
	case doc.Sign:
		for _, l := range b.Lines {
			r.line("")
			r.line(l + ": " + strings.Repeat("_", max(10, 50-utf8.RuneCountInString(l))))
		}
	case doc.Table:
		r.wrapped(indent, indent, b.Caption)
		r.table(b)
	case doc.Curve:
		r.line("")
		for _, l := range drawCurve(b, r.o.Width-len(indent)) {
			r.line(indent + l)
		}
		r.line("")
	case doc.Notes:
		for _, n := range b.Items {
			r.note(n)
		}
	case doc.Answer:
		if !first {
			r.line("")
		}
		r.answer(b)
	}
}

// heading is a line in bold, and as many more as it takes.
func (r *renderer) heading(s string) {
	for i, l := range wrap(s, r.o.Width-len(indent)) {
		if i > 0 {
			l = indent + l
		}
		r.line(r.paint(bold, l))
	}
}

// cards stand below each other, as rows of a table.
func (r *renderer) cards(c doc.Cards) {
	t := doc.Table{Columns: make([]doc.Column, 4)}
	for _, k := range c.Items {
		t.Rows = append(t.Rows, []string{k.Label, k.Figure, k.Verdict, k.Note})
	}
	r.table(t)
}

func (r *renderer) note(n doc.Note) {
	mark, word := indent, ""
	if n.Mark != "" {
		mark += n.Mark + "  "
	}
	if n.Warning {
		word = "warning: "
	}
	lines := wrap(word+n.Text, r.o.Width-len(mark))
	for i, l := range lines {
		if i == 0 {
			if n.Warning {
				l = r.paint(yellow, "warning:") + strings.TrimPrefix(l, "warning:")
			}
			r.line(mark + l)
			continue
		}
		r.line(strings.Repeat(" ", len(mark)) + l)
	}
}

const apart = "    "

// answer keeps its parts on one line, since other programs look for it. Where
// it is folded, what it is judged by and the verdict stay together.
func (r *renderer) answer(a doc.Answer) {
	line := strings.Join(a.Parts, apart)
	if a.Verdict != "" {
		line += apart + a.Verdict
	}
	if r.o.Fold && utf8.RuneCountInString(line) > r.o.Width && len(a.Parts) > 0 {
		r.line(a.Parts[0])
		line = indent + strings.TrimPrefix(strings.TrimPrefix(line, a.Parts[0]), apart)
	}
	if a.Verdict != "" {
		line = strings.TrimSuffix(line, a.Verdict) + r.paint(colours[a.Outcome], a.Verdict)
	}
	r.line(line)
	r.wrapped(indent, indent, a.Reason)
}

// wrapped writes text in lines that fit; nothing for no text.
func (r *renderer) wrapped(first, rest, s string) {
	if s == "" {
		return
	}
	for i, l := range wrap(s, r.o.Width-utf8.RuneCountInString(first)) {
		if i == 0 {
			r.line(first + l)
		} else {
			r.line(rest + l)
		}
	}
}

// wrap breaks text at spaces; a word longer than a line stays whole.
func wrap(s string, width int) []string {
	var lines []string
	line, used := "", 0
	for _, w := range strings.Fields(s) {
		n := utf8.RuneCountInString(w)
		if used > 0 && used+1+n > width {
			lines = append(lines, line)
			line, used = "", 0
		}
		if used > 0 {
			line, used = line+" ", used+1
		}
		line, used = line+w, used+n
	}
	return append(lines, line)
}

// The few colours, as SGR parameters (ECMA-48).
const (
	bold   = "1"
	red    = "1;31"
	green  = "1;32"
	yellow = "1;33"
)

var colours = map[doc.Outcome]string{doc.Good: green, doc.Bad: red, doc.Unclear: yellow}

func (r *renderer) paint(sgr, s string) string {
	if !r.o.Color || sgr == "" || s == "" {
		return s
	}
	return "\x1b[" + sgr + "m" + s + "\x1b[0m"
}
