package html

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// table writes a table with heads, or a list of facts where no column has one.
// The first cell of a row is its head.
func (p *page) table(t doc.Table) {
	if len(t.Rows) == 0 {
		return
	}
	heads := false
	for _, c := range t.Columns {
		heads = heads || c.Head != "" || c.Unit != ""
	}
	if heads {
		name := t.Caption
		if name == "" {
			name = p.heading
		}
		if t.Caption != "" { // outside of what scrolls sideways
			p.element("p", "caption", t.Caption)
		}
		if folded(t) {
			p.raw("<details>\n")
			p.element("summary", "", fmt.Sprintf("%s (%d rows)", name, len(t.Rows)))
		}
		p.raw(`<div class="scroll" tabindex="0" role="group" aria-label="` + escape("Table: "+name) + "\">\n<table class=\"cells\">\n")
	} else {
		p.raw("<table class=\"facts\">\n")
	}
	if t.Caption != "" && !heads {
		p.element("caption", "", t.Caption)
	}
	if heads {
		p.heads(t)
	}
	p.raw("<tbody>\n")
	after := behindPoints(t)
	for _, row := range t.Rows {
		p.row(t, row, after, heads)
	}
	p.raw("</tbody>\n</table>\n")
	if heads {
		p.raw("</div>\n")
		if folded(t) {
			p.raw("</details>\n")
		}
	}
}

// folded tells whether a table is folded away: one of a customer's page never is.
func folded(t doc.Table) bool { return len(t.Rows) > foldedFrom && !t.Tight }

// foldedFrom is how many rows a table may have before it is folded away.
const foldedFrom = 20

func (p *page) heads(t doc.Table) {
	p.raw("<thead>\n<tr>")
	for _, c := range t.Columns {
		class := ""
		if c.Align != doc.Left {
			class = ` class="figure"`
		}
		switch {
		case c.Head == "" && c.Unit == "":
			p.raw("<td></td>")
			continue
		case c.Head == "":
			p.raw(`<th scope="col"` + class + ">")
			p.element("small", "", c.Unit)
		default:
			p.raw(`<th scope="col"` + class + ">")
			p.text(c.Head)
			if c.Unit != "" {
				p.raw(" ")
				p.element("small", "", c.Unit)
			}
		}
		p.raw("</th>")
	}
	p.raw("</tr>\n</thead>\n")
}

func (p *page) row(t doc.Table, row []string, after []int, heads bool) {
	p.raw("<tr>")
	for i, cell := range row {
		tag, attributes := "td", ""
		if i == 0 && cell != "" { // a head that says nothing is none
			tag, attributes = "th", ` scope="row"`
		}
		spans := i == len(row)-1 && len(row) < len(t.Columns)
		if spans {
			attributes += ` colspan="` + strconv.Itoa(len(t.Columns)-i) + `"`
		}
		figure := !spans && t.Columns[i].Align != doc.Left
		switch {
		case figure:
			attributes += ` class="figure"`
		case heads && longestWord(cell) > 24:
			attributes += ` class="long"`
		}
		if heads && i > 0 && i < len(t.Columns) && cell != "" {
			if head := say.Joined(", ", t.Columns[i].Head, t.Columns[i].Unit); head != "" {
				attributes += ` data-head="` + escape(head) + `"`
			}
		}
		p.raw("<" + tag + attributes + ">")
		p.text(cell)
		if figure && t.Columns[i].Align == doc.Decimal && cell != "" {
			p.pad(after[i], behindPoint(cell))
		}
		p.raw("</" + tag + ">")
	}
	p.raw("</tr>\n")
}

// pad brings figures onto their decimal points: with spaces as wide as a point
// (U+2008) and a figure (U+2007), hidden from those who listen.
func (p *page) pad(most, has int) {
	if has >= most {
		return
	}
	spaces := strings.Repeat("\u2007", most-max(has, 1))
	if has == 0 {
		spaces = "\u2008" + spaces
	}
	p.raw(`<span aria-hidden="true">` + spaces + "</span>")
}

func behindPoints(t doc.Table) []int {
	after := make([]int, len(t.Columns))
	for _, row := range t.Rows {
		for i, cell := range row {
			if i < len(after) && !(i == len(row)-1 && len(row) < len(t.Columns)) {
				after[i] = max(after[i], behindPoint(cell))
			}
		}
	}
	return after
}

// behindPoint is how many characters stand from the point on.
func behindPoint(s string) int {
	if i := strings.IndexByte(s, '.'); i >= 0 {
		return utf8.RuneCountInString(s[i:])
	}
	return 0
}

func longestWord(s string) int {
	longest := 0
	for _, w := range strings.Fields(s) {
		longest = max(longest, utf8.RuneCountInString(w))
	}
	return longest
}
