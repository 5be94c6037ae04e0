package pdf

import (
	"strings"

	"hisspoint/reports/doc"
)

const (
	cellGap = 9.0
	cellPad = 2.2
)

// grid is a table whose columns have their widths.
type grid struct {
	t      doc.Table
	size   float64
	heads  bool
	lead   float64    // line height over font size
	pad    float64    // above and below a row
	lines  [][]string // of each head
	widths []float64
	points []float64 // of a decimal column: from its left edge to the decimal point
}

// table sets a table; its heads stand again on every page that it reaches.
func (s *setter) table(t doc.Table) {
	if len(t.Rows) == 0 {
		return
	}
	g := s.gridOf(t)
	if s.need(s.beginsGrid(g)) {
		s.y += 2
	}
	if t.Caption != "" {
		s.y += 4
		s.text(t.Caption, side, s.room(), tableSize, false, muted)
		s.y += 3
	}
	if g.heads {
		s.heads(g)
	}
	for i, row := range t.Rows {
		s.row(g, row, i == len(t.Rows)-1)
	}
	s.y += map[bool]float64{true: 3, false: 6}[s.d.Dense]
}

// beginsTable is the room for caption, heads and first row.
func (s *setter) beginsTable(t doc.Table) float64 {
	if len(t.Rows) == 0 {
		return 0
	}
	return s.beginsGrid(s.gridOf(t))
}

func (s *setter) beginsGrid(g *grid) float64 {
	_, first := s.cells(g, g.t.Rows[0])
	return max(map[bool]float64{true: 40, false: 60}[s.d.Dense], s.headHeight(g)+min(float64(first)*g.size*g.lead+2*g.pad, 150)+12)
}

// gridOf is a table with the measures of its columns.
func (s *setter) gridOf(t doc.Table) *grid {
	g := &grid{t: t, size: tableSize, pad: cellPad, lead: leading}
	for _, c := range t.Columns {
		g.heads = g.heads || c.Head != "" || c.Unit != ""
	}
	if !g.heads {
		g.size = s.body
	}
	switch {
	case s.d.Dense:
		g.size, g.pad, g.lead = min(g.size, 7), 0.1, 1.18
	case t.Tight && !g.heads:
		g.pad = 0.8
	case t.Tight && len(t.Rows) > 12:
		g.size, g.pad = tableSize-0.7, 0.2
	case t.Tight:
		g.size, g.pad = tableSize-0.4, 0.6
	}
	s.measure(g)
	return g
}

// sizeOf is the size of a column's text.
func (g *grid) sizeOf(i int) float64 {
	if i < len(g.t.Columns) && g.t.Columns[i].Fine {
		return 0.74 * g.size
	}
	return g.size
}

// cellText is what stands in a cell; an empty one is no text.
func cellText(s string) string { return strings.Join(strings.Fields(printable(s)), " ") }

// spans tells whether a cell takes the place of those that its row lacks.
func (g *grid) spans(row []string, i int) bool {
	return i == len(row)-1 && len(row) < len(g.t.Columns)
}

// measure gives each column what its cells need. If that is too wide, columns
// of text give way, the widest first.
func (s *setter) measure(g *grid) {
	g.widths, g.points = make([]float64, len(g.t.Columns)), make([]float64, len(g.t.Columns))
	for i, c := range g.t.Columns {
		s.font(g.size, true, ink)
		g.widths[i] = max(s.longestWord(c.Head), s.long(s.fit(c.Unit, s.room()/2)))
		s.font(g.sizeOf(i), false, ink)
		before, behind := 0.0, 0.0
		for _, row := range g.t.Rows {
			if i >= len(row) || g.spans(row, i) {
				continue
			}
			text := cellText(row[i])
			if c.Align == doc.Decimal {
				a, b := cutPoint(text)
				before, behind = max(before, s.long(a)), max(behind, s.long(b))
			} else {
				g.widths[i] = max(g.widths[i], s.long(text))
			}
		}
		if c.Align == doc.Decimal {
			g.widths[i] = max(g.widths[i], before+behind)
			g.points[i] = g.widths[i] - behind
		}
	}
	if !g.heads && len(g.widths) > 0 {
		g.widths[0] = min(max(g.widths[0], 92), 140)
	}
	g.giveWay(s.room())
	s.widenForHeads(g)
	s.font(g.size, true, ink)
	g.lines = make([][]string, len(g.t.Columns))
	for i, c := range g.t.Columns {
		if c.Head != "" {
			g.lines[i] = s.wrap(s.fit(c.Head, s.room()/2), g.widths[i]+0.01)
		}
	}
}

func (s *setter) longestWord(text string) float64 {
	longest := 0.0
	for _, w := range strings.Fields(s.fit(text, s.room()/2)) {
		longest = max(longest, s.long(w))
	}
	return longest
}

// widenForHeads gives columns the room that is left, so that heads break only
// where they must.
func (s *setter) widenForHeads(g *grid) {
	s.font(g.size, true, ink)
	left := s.room() - cellGap*float64(len(g.widths)-1)
	for _, w := range g.widths {
		left -= w
	}
	for _, lines := range []float64{2, 1} {
		for i, c := range g.t.Columns {
			head := s.long(s.fit(c.Head, s.room()/2)) / lines
			if lines > 1 {
				head *= 1.15 // words do not break in the middle
			}
			if more := head - g.widths[i]; more > 0 && more <= left {
				g.widths[i] += more
				if c.Align == doc.Decimal {
					g.points[i] += more
				}
				left -= more
			}
		}
	}
}

func cutPoint(text string) (before, behind string) {
	if i := strings.IndexByte(text, '.'); i >= 0 {
		return text[:i], text[i:]
	}
	return text, ""
}

func (g *grid) giveWay(room float64) {
	const least = 46
	for {
		sum := cellGap * float64(len(g.widths)-1)
		widest := -1
		for i, w := range g.widths {
			sum += w
			if g.t.Columns[i].Align == doc.Left && w > least && (widest < 0 || w > g.widths[widest]) {
				widest = i
			}
		}
		if sum <= room || widest < 0 {
			return
		}
		next := float64(least)
		for i, w := range g.widths {
			if i != widest && g.t.Columns[i].Align == doc.Left && w > next {
				next = w
			}
		}
		g.widths[widest] -= min(sum-room, max(g.widths[widest]-next, 4))
	}
}

// headLines is how many lines the longest head takes, and whether units stand below.
func (g *grid) headLines() (most int, units bool) {
	most = 1
	for i, c := range g.t.Columns {
		units = units || c.Unit != ""
		most = max(most, len(g.lines[i]))
	}
	return most, units
}

// headHeight is what caption and heads take.
func (s *setter) headHeight(g *grid) float64 {
	h := 0.0
	if g.t.Caption != "" {
		h += tableSize*leading + 7
	}
	if g.heads {
		most, units := g.headLines()
		h += float64(most)*g.size*g.lead + 3
		if units {
			h += g.size * g.lead
		}
	}
	return h
}

func (s *setter) heads(g *grid) {
	most, units := g.headLines()
	h := g.size * g.lead
	x := side
	write := func(i int, line float64, text string) {
		at := x
		if g.t.Columns[i].Align != doc.Left {
			at += g.widths[i] - s.long(text)
		}
		s.write(at, s.y+g.size+line*h, text)
	}
	for i, c := range g.t.Columns {
		s.font(g.size, true, ink)
		for n, text := range g.lines[i] {
			write(i, float64(most-len(g.lines[i])+n), text)
		}
		if c.Unit != "" {
			s.font(g.size, false, muted)
			write(i, float64(most), s.fit(c.Unit, s.room()/2))
		}
		x += g.widths[i] + cellGap
	}
	s.y += float64(most)*h + 2
	if units {
		s.y += h
	}
	s.line(side, s.y, min(x-cellGap, s.width-side), s.y, 0.7, muted)
	s.y += 1
	s.fresh = false
}

// cells are the lines of each cell of a row, and how many the longest has.
func (s *setter) cells(g *grid, row []string) (cells [][]string, most int) {
	cells, most = make([][]string, len(row)), 1
	for i, text := range row {
		w := g.widths[i]
		if g.spans(row, i) {
			for j := i + 1; j < len(g.widths); j++ {
				w += cellGap + g.widths[j]
			}
		}
		if !g.heads && i == len(row)-1 {
			w = max(w, s.room()-g.left(i))
		}
		s.font(g.sizeOf(i), false, ink)
		cells[i] = s.wrap(cellText(text), w+0.01)
		most = max(most, len(cells[i]))
	}
	return cells, most
}

// row sets one row. It goes to a new page whole, unless it is longer than a
// third of one.
func (s *setter) row(g *grid, row []string, last bool) {
	cells, most := s.cells(g, row)
	h := g.size * g.lead
	if float64(most)*h < (s.end()-s.top)/3 {
		s.nextPage(g, float64(most)*h+2*g.pad)
	}
	s.y += g.pad
	for n := range most {
		s.nextPage(g, h)
		for i := range cells {
			if n < len(cells[i]) && cells[i][n] != "" {
				s.cell(g, row, i, cells[i][n])
			}
		}
		s.y += h
	}
	s.y += g.pad - 1
	if !last {
		s.line(side, s.y, side+min(s.room(), g.total(s.room())), s.y, 0.3, rule)
	}
	s.y++
}

func (s *setter) nextPage(g *grid, h float64) {
	if s.need(h) && g.heads {
		s.heads(g)
	}
}

func (s *setter) cell(g *grid, row []string, i int, text string) {
	c := ink
	if !g.heads && i == 0 {
		c = muted
	}
	s.font(g.sizeOf(i), false, c)
	x := side + g.left(i)
	if !g.spans(row, i) {
		switch g.t.Columns[i].Align {
		case doc.Decimal:
			before, _ := cutPoint(text)
			x += g.points[i] - s.long(before)
		case doc.Right:
			x += g.widths[i] - s.long(text)
		}
	}
	s.put(x, text, g.size)
}

// left is where a column begins, from the margin.
func (g *grid) left(i int) float64 {
	x := 0.0
	for _, w := range g.widths[:i] {
		x += w + cellGap
	}
	return x
}

func (g *grid) total(room float64) float64 {
	if !g.heads {
		return room
	}
	return g.left(len(g.widths)) - cellGap
}
