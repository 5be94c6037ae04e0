package curve

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"hisspoint/reports/doc"
)

// spans are bars along the top, a row for each name.
type spans []doc.Span

func (all spans) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	s := face(small, Ink)
	rows := map[string]vg.Length{}
	for _, span := range all {
		at, has := rows[span.Name]
		if !has {
			at = c.Max.Y - 7 - 12*vg.Length(len(rows))
			rows[span.Name] = at
		}
		k := styleOf(span.Style)
		from, to := max(x(span.From), c.Min.X), min(x(span.To), c.Max.X)
		c.StrokeLine2(draw.LineStyle{Color: k.color, Width: 2, Dashes: k.dash}, from, at, to, at)
		for _, end := range []vg.Length{from, to} {
			c.StrokeLine2(draw.LineStyle{Color: k.color, Width: 1.2}, end, at-4, end, at+4)
		}
		if w := s.Width(short(span.Name)); w+8 < to-from {
			middle := (from + to) / 2
			polygon(&c, box(middle-w/2-3, at-5, middle+w/2+3, at+5), Paper, Paper)
			c.FillText(s, vg.Point{X: middle - w/2, Y: at - 3}, short(span.Name))
		}
	}
}

func box(x0, y0, x1, y1 vg.Length) []vg.Point {
	return []vg.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// marks are places with names above them; one whose name finds no room within
// three lines goes without, and stands in the table.
type marks struct {
	all    []doc.Mark
	traces []doc.Trace
}

// above is the highest that any trace stands beside a mark.
func (k marks) above(m doc.Mark) float64 {
	y := m.Y
	for _, t := range k.traces {
		for _, d := range t.Points {
			if d.X > m.X*0.96 && d.X < m.X*1.04 && d.Y > y {
				y = d.Y
			}
		}
	}
	return y
}

func (k marks) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	s := face(small, Ink)
	type area struct{ x0, y0, x1, y1 vg.Length }
	var taken []area
	free := func(a area) bool {
		for _, b := range taken {
			if a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 {
				return false
			}
		}
		return true
	}
	for _, m := range k.all {
		at, name := vg.Point{X: x(m.X), Y: y(k.above(m))}, short(m.Name)
		if at.X < c.Min.X || at.X > c.Max.X {
			continue
		}
		w := s.Width(name)
		left := min(max(at.X-w/2, c.Min.X+1), c.Max.X-w)
		for line := range 4 {
			bottom := at.Y + 7 + 9*vg.Length(line)
			a := area{left - 1, bottom - 1, left + w + 1, bottom + 8}
			if !free(a) || a.y1 > c.Max.Y {
				continue
			}
			taken = append(taken, a)
			c.StrokeLine2(draw.LineStyle{Color: Ink, Width: 0.6}, at.X, at.Y+2, at.X, bottom-1)
			c.FillText(s, vg.Point{X: left, Y: bottom}, name)
			break
		}
	}
}
