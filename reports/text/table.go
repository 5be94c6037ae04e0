package text

import (
	"strings"
	"unicode/utf8"

	"hisspoint/reports/doc"
)

const gap = "  "

// least is how narrow a column of words may become where a table is too wide.
const least = 14

// columns are a table as it is set: what is set, and how wide each column is.
type columns struct {
	t      doc.Table
	widths []int
	cells  [][]string
	heads  [][]string // lines of heads, then of units
}

// table sets columns as wide as what they hold. Cells that stand on their
// decimal point are brought to one width first. Where all that is too wide,
// columns of words and heads wrap, the widest first.
func (r *renderer) table(t doc.Table) {
	g := columns{t: t, widths: make([]int, len(t.Columns)), cells: make([][]string, len(t.Rows))}
	for i, row := range t.Rows {
		g.cells[i] = append([]string(nil), row...)
	}
	for c := range t.Columns {
		if t.Columns[c].Align == doc.Decimal {
			onPoint(g.cells, c)
		}
		for _, row := range g.cells {
			if !spans(row, c, len(t.Columns)) {
				g.widths[c] = max(g.widths[c], width(row[c]))
			}
		}
	}
	g.fit(r.o.Width)
	for _, line := range g.heads {
		r.row(t, g.widths, line)
	}
	for _, row := range g.cells {
		r.row(t, g.widths, row)
	}
}

// fit finds the widths with which the table is no wider than room, if it can be.
func (g *columns) fit(room int) {
	cells := append([]int(nil), g.widths...)
	whole := func(c int) int { return max(width(g.t.Columns[c].Head), width(g.t.Columns[c].Unit)) }
	for c := range g.widths {
		g.widths[c] = max(cells[c], whole(c))
	}
	for g.total() > room { // heads first: figures must not break
		widest := -1
		for c := range g.widths {
			if g.widths[c] > max(cells[c], longest(g.t.Columns[c].Head), longest(g.t.Columns[c].Unit)) && (widest < 0 || g.widths[c] > g.widths[widest]) {
				widest = c
			}
		}
		if widest < 0 {
			break
		}
		g.widths[widest]--
	}
	for g.total() > room {
		widest := -1
		for c := range g.widths {
			narrowest := least
			if c == len(g.widths)-1 {
				narrowest = g.lastLeast()
			}
			if g.t.Columns[c].Align == doc.Left && g.widths[c] > narrowest && (widest < 0 || g.widths[c] > g.widths[widest]) {
				widest = c
			}
		}
		if widest < 0 {
			break
		}
		g.widths[widest]--
	}
	g.heading()
}

// total is how wide the table is. The last column wraps by itself, so that it
// counts as narrow already.
func (g *columns) total() int {
	sum := len(indent)
	for c, w := range g.widths {
		if c == len(g.widths)-1 && g.t.Columns[c].Align == doc.Left {
			sum += min(w, g.lastLeast())
			break
		}
		if w > 0 {
			sum += w + len(gap)
		}
	}
	return sum
}

// lastLeast is how narrow the last column may become: as its longest word.
func (g *columns) lastLeast() int {
	most := 20
	for _, row := range g.cells {
		if len(row) == len(g.widths) {
			most = max(most, longest(row[len(row)-1]))
		}
	}
	return most
}

// heading makes the lines of heads and units.
func (g *columns) heading() {
	heads, units, lines := make([][]string, len(g.widths)), false, 0
	for c, k := range g.t.Columns {
		units = units || k.Unit != ""
		if k.Head != "" {
			heads[c] = wrap(k.Head, max(g.widths[c], 1))
			lines = max(lines, len(heads[c]))
		}
	}
	for n := range lines {
		line := make([]string, len(g.widths))
		for c, h := range heads { // the last lines of all heads stand beside each other
			if at := n - (lines - len(h)); at >= 0 {
				line[c] = h[at]
			}
		}
		g.heads = append(g.heads, line)
	}
	if units {
		line := make([]string, len(g.widths))
		for c, k := range g.t.Columns {
			line[c] = k.Unit
		}
		g.heads = append(g.heads, line)
	}
}

// spans tells whether column c of a row is missing or spans all that are missing.
func spans(row []string, c, columns int) bool {
	return c >= len(row) || c == len(row)-1 && len(row) < columns
}

// row writes one row of a table; what is wider than its column wraps under
// itself, and the last cell takes what room is left.
func (r *renderer) row(t doc.Table, widths []int, cells []string) {
	last := len(cells) - 1
	used := len(indent)
	lines := make([][]string, len(cells))
	high := 1
	for c, text := range cells {
		switch {
		case c == last:
			lines[c] = wrap(text, max(least, r.o.Width-used))
		case width(text) > widths[c]:
			lines[c] = wrap(text, widths[c])
		default:
			lines[c] = []string{text}
		}
		high = max(high, len(lines[c]))
		if widths[c] > 0 {
			used += widths[c] + len(gap)
		}
	}
	for n := range high {
		line := indent
		for c := range cells {
			text := ""
			if n < len(lines[c]) {
				text = lines[c][n]
			}
			switch {
			case c == last && t.Columns[c].Align == doc.Left, c == last && len(cells) < len(t.Columns):
				line += text
				continue
			case widths[c] == 0:
				continue
			}
			space := strings.Repeat(" ", max(0, widths[c]-width(text)))
			if t.Columns[c].Align == doc.Left {
				line += text + space
			} else {
				line += space + text
			}
			line += gap
		}
		r.line(line)
	}
}

func longest(s string) int {
	most := 0
	for _, w := range strings.Fields(s) {
		most = max(most, width(w))
	}
	return most
}

// onPoint fills the cells of a column on the right so that their points stand
// below each other. Words stand as if a point followed them.
func onPoint(cells [][]string, c int) {
	after := 0
	columns := 0
	for _, row := range cells {
		columns = max(columns, len(row))
	}
	for _, row := range cells {
		if !spans(row, c, columns) {
			after = max(after, behindPoint(row[c]))
		}
	}
	for _, row := range cells {
		if !spans(row, c, columns) && row[c] != "" {
			row[c] += strings.Repeat(" ", after-behindPoint(row[c]))
		}
	}
}

// behindPoint is how many characters stand from the point on.
func behindPoint(s string) int {
	if i := strings.IndexByte(s, '.'); i >= 0 {
		return utf8.RuneCountInString(s[i:])
	}
	return 0
}

func width(s string) int { return utf8.RuneCountInString(s) }
