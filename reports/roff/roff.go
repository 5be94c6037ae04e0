// Package roff writes a document as a manual page, in the macros of man(7). Pictures and
// what only paper has are left out. It knows the shapes of a document and nothing else.
package roff

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"hisspoint/reports/doc"
)

// Page is what stands around the text of a page.
type Page struct {
	Name    string // as in hisspoint-report
	Section int    // 1: a command; 7: a subject
	Date    string // year-month-day; empty: none
	Made    string // tool and version
	About   string // what the page is about, in a line
}

// Write renders a document as the page. Its title is not shown: the page has its own.
func Write(w io.Writer, p Page, d doc.Document) error {
	r := &setter{}
	r.b.WriteString("'\\\" t\n")                                                                                                         // tables are set by tbl
	fmt.Fprintf(&r.b, ".TH \"%s\" %d \"%s\" \"%s\" \"Hisspoint\"\n", escape(strings.ToUpper(p.Name)), p.Section, p.Date, escape(p.Made)) // a date is read, not shown
	r.macro("SH", "NAME")
	r.text(p.Name + " \\- " + escape(p.About))
	if len(d.Blocks) > 0 {
		if h, is := d.Blocks[0].(doc.Heading); !is || h.Level > 0 {
			r.block(doc.Heading{Text: "Description"})
		}
	}
	for _, b := range d.Blocks {
		r.block(b)
	}
	_, err := io.WriteString(w, r.b.String())
	return err
}

type setter struct {
	b     strings.Builder
	fresh bool // a heading was the last thing
}

var marked = strings.NewReplacer(`\`, `\e`, "-", `\-`, "'", `\(aq`, "`", `\(ga`, "^", `\(ha`, "~", `\(ti`)

// escape keeps a text from being read as requests.
func escape(s string) string { return marked.Replace(strings.Join(strings.Fields(s), " ")) }

// macro is a request with its arguments.
func (r *setter) macro(name string, args ...string) {
	r.b.WriteString("." + name)
	for _, a := range args {
		r.b.WriteString(` "` + strings.ReplaceAll(escape(a), `"`, `\(dq`) + `"`)
	}
	r.b.WriteByte('\n')
}

// text is a line of text that is escaped already; a dot at its beginning is none of a
// request.
func (r *setter) text(s string) {
	if strings.HasPrefix(s, ".") {
		s = `\&` + s
	}
	r.b.WriteString(s + "\n")
}

func (r *setter) block(b doc.Block) {
	fresh := r.fresh
	_, r.fresh = b.(doc.Heading)
	switch b := b.(type) {
	case doc.Heading:
		if b.Level == 0 {
			r.macro("SH", strings.ToUpper(b.Text))
		} else {
			r.macro("SS", b.Text)
		}
	case doc.Paragraph:
		if !fresh {
			r.macro("PP")
		}
		r.text(escape(b.Text))
	case doc.List:
		for i, item := range b.Items {
			if b.Numbered {
				r.macro("IP", fmt.Sprintf("%d.", i+1), "4")
			} else {
				r.b.WriteString(".IP \\(bu 2\n")
			}
			r.text(escape(item))
		}
	case doc.Code:
		if !fresh {
			r.macro("PP")
		}
		r.code(b)
	case doc.Table:
		r.table(b)
	}
}

func (r *setter) code(c doc.Code) {
	r.b.WriteString(".RS 4\n.nf\n")
	for _, l := range c.Lines {
		r.text(strings.ReplaceAll(marked.Replace(l), "\t", "    "))
	}
	r.b.WriteString(".fi\n.RE\n")
}

// narrow tells whether a table fits side by side.
func narrow(t doc.Table) bool {
	if len(t.Columns) < 3 {
		return false
	}
	for _, row := range t.Rows {
		sum := 0
		for _, cell := range row {
			sum += utf8.RuneCountInString(cell) + 3
		}
		if sum > 66 {
			return false
		}
	}
	return true
}

// table is a paragraph a row: its first cell, then what stands in the others, each behind
// its head where there are more than two. A narrow one stands as it is.
func (r *setter) table(t doc.Table) {
	if narrow(t) {
		r.b.WriteString(".TS\n" + strings.Repeat("lb ", len(t.Columns)) + "\n" + strings.Repeat("l ", len(t.Columns)) + ".\n")
		heads := []string{}
		for _, c := range t.Columns {
			heads = append(heads, escape(c.Head))
		}
		r.text(strings.Join(heads, "\t"))
		for _, row := range t.Rows {
			cells := []string{}
			for _, c := range row {
				cells = append(cells, escape(c))
			}
			r.text(strings.Join(cells, "\t"))
		}
		r.b.WriteString(".TE\n")
		return
	}
	for _, row := range t.Rows {
		if len(row) == 0 {
			continue
		}
		r.b.WriteString(".TP\n")
		r.text(`\fB` + escape(row[0]) + `\fR`)
		var parts []string
		for i, cell := range row[1:] {
			if cell == "" {
				continue
			}
			if head := t.Columns[i+1].Head; head != "" && len(row) > 2 {
				cell = head + ": " + cell
			}
			parts = append(parts, escape(cell))
		}
		r.text(strings.Join(parts, "; "))
	}
}
