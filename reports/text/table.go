package text

import (
	"strings"
	"unicode/utf8"

	"hisspoint/reports/doc"
)

const gap = "  "

// table sets columns as wide as what they hold. Cells that stand on their
// decimal point are brought to one width first.
func (r *renderer) table(t doc.Table) {
	heads, units := make([]string, len(t.Columns)), make([]string, len(t.Columns))
	anyHead, anyUnit := false, false
	for i, c := range t.Columns {
		heads[i], units[i] = c.Head, c.Unit
		anyHead, anyUnit = anyHead || c.Head != "", anyUnit || c.Unit != ""
	}
	cells := make([][]string, len(t.Rows))
	for i, row := range t.Rows {
		cells[i] = append([]string(nil), row...)
	}
	widths := make([]int, len(t.Columns))
	for c := range t.Columns {
		if t.Columns[c].Align == doc.Decimal {
			onPoint(cells, c)
		}
		for _, row := range cells {
			if !spans(row, c, len(t.Columns)) {
				widths[c] = max(widths[c], width(row[c]))
			}
		}
		widths[c] = max(widths[c], width(heads[c]), width(units[c]))
	}
	if anyHead {
		r.row(t, widths, heads)
	}
	if anyUnit {
		r.row(t, widths, units)
	}
	for _, row := range cells {
		r.row(t, widths, row)
	}
}

// spans tells whether column c of a row is missing or spans all that are missing.
func spans(row []string, c, columns int) bool {
	return c >= len(row) || c == len(row)-1 && len(row) < columns
}

// row writes one line of a table; its last cell wraps under itself.
func (r *renderer) row(t doc.Table, widths []int, cells []string) {
	line, used := indent, len(indent)
	last := len(cells) - 1
	for c, text := range cells {
		if c == last {
			room := max(20, r.o.Width-used)
			for i, l := range wrap(text, room) {
				if i > 0 {
					line = strings.Repeat(" ", used)
				}
				r.line(line + l)
			}
			return
		}
		if widths[c] == 0 {
			continue
		}
		space := strings.Repeat(" ", widths[c]-width(text))
		if t.Columns[c].Align == doc.Left {
			line += text + space
		} else {
			line += space + text
		}
		line += gap
		used += widths[c] + len(gap)
	}
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
