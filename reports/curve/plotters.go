package curve

import (
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"hisspoint/reports/doc"
)

// gridLines are drawn at the ticks of both axes.
type gridLines struct{}

func (gridLines) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	s := draw.LineStyle{Color: Grid, Width: 0.5}
	for _, t := range p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max) {
		c.StrokeLine2(s, x(t.Value), c.Min.Y, x(t.Value), c.Max.Y)
	}
	for _, t := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
		c.StrokeLine2(s, c.Min.X, y(t.Value), c.Max.X, y(t.Value))
	}
}

// band is the area of a trace's intervals.
type band struct{ doc.Trace }

func (b band) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	if len(b.Points) < 2 || b.Bound {
		return
	}
	var path vg.Path
	for i, d := range b.Points {
		q := vg.Point{X: x(d.X), Y: y(d.Low)}
		if i == 0 {
			path.Move(q)
		} else {
			path.Line(q)
		}
	}
	for i := len(b.Points) - 1; i >= 0; i-- {
		path.Line(vg.Point{X: x(b.Points[i].X), Y: y(b.Points[i].High)})
	}
	path.Close()
	k := styleOf(b.Style).color
	k.A = 0x38
	c.SetColor(k)
	c.Fill(path)
}

// trace is the line and its markers.
type trace struct{ doc.Trace }

func (t trace) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	s := lookOf(t.Trace)
	line := make([]vg.Point, len(t.Points))
	for i, d := range t.Points {
		line[i] = vg.Point{X: x(d.X), Y: y(d.Y)}
	}
	c.StrokeLines(draw.LineStyle{Color: s.color, Width: 1.4, Dashes: s.dash}, line)
	if s.marker == nil {
		return
	}
	for i, d := range t.Points {
		if h := y(d.High) - y(d.Low); h > 2*markRadius {
			c.StrokeLine2(draw.LineStyle{Color: s.color, Width: 0.8}, line[i].X, y(d.Low), line[i].X, y(d.High))
		}
		s.marker(&c, line[i], markRadius, s.color)
	}
}

// across is the threshold with its label.
type across struct {
	doc.Line
	traces []doc.Trace
}

func (a across) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	at := y(a.At)
	c.StrokeLine2(draw.LineStyle{Color: Ink, Width: 0.9, Dashes: []vg.Length{3, 2}}, c.Min.X, at, c.Max.X, at)
	s := face(small, Ink)
	left := c.Max.X - s.Width(short(a.Label)) - 4
	for _, t := range a.traces { // where the curves are not
		if k := t.Crossing; k != nil && x(k.High) > left-6 {
			left = c.Min.X + 4
		}
	}
	c.FillText(s, vg.Point{X: left, Y: at + 3}, short(a.Label))
}

// upright is a limit with its label.
type upright struct{ doc.Line }

func (u upright) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	at := x(u.At)
	c.StrokeLine2(draw.LineStyle{Color: LimitLine, Width: 1.1, Dashes: []vg.Length{8, 2, 2, 2}}, at, c.Min.Y, at, c.Max.Y)
	s := face(small, LimitLine)
	left := at + 4
	if w := s.Width(short(u.Label)); left+w > c.Max.X {
		left = at - 4 - w
	}
	c.FillText(s, vg.Point{X: left, Y: c.Min.Y + 5}, short(u.Label))
}

// crossing is the point with its interval along X: a bar with ends.
type crossing struct{ doc.Trace }

func (k crossing) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	d, s := *k.Crossing, styleOf(k.Style)
	at := vg.Point{X: x(d.X), Y: y(d.Y)}
	if d.Low < d.High {
		low, high := x(d.Low), x(d.High)
		line := draw.LineStyle{Color: s.color, Width: 2.4}
		c.StrokeLine2(line, low, at.Y, high, at.Y)
		line.Width = 1.6
		for _, end := range []vg.Length{low, high} {
			c.StrokeLine2(line, end, at.Y-5, end, at.Y+5)
		}
	}
	ring(&c, at, s.color)
}

// ring marks the point itself.
func ring(c *draw.Canvas, p vg.Point, k color.NRGBA) {
	disc(c, p, 4.4, k)
	disc(c, p, 2.6, Paper)
}

// key names the traces above the picture and gives the height that it took.
func key(c draw.Canvas, curve doc.Curve) vg.Length {
	type entry struct {
		draw func(left, y vg.Length)
		text string
	}
	const sample = 26
	var entries []entry
	crossed := false
	for _, t := range curve.Traces {
		crossed = crossed || t.Crossing != nil
		if t.Name == "" {
			continue
		}
		s := lookOf(t)
		entries = append(entries, entry{func(left, y vg.Length) {
			c.StrokeLine2(draw.LineStyle{Color: s.color, Width: 1.4, Dashes: s.dash}, left, y, left+sample, y)
			if s.marker != nil {
				s.marker(&c, vg.Point{X: left + sample/2, Y: y}, markRadius, s.color)
			}
		}, short(t.Name)})
	}
	if crossed {
		entries = append(entries, entry{func(left, y vg.Length) {
			line := draw.LineStyle{Color: Muted, Width: 2}
			c.StrokeLine2(line, left, y, left+sample, y)
			c.StrokeLine2(line, left, y-4, left, y+4)
			c.StrokeLine2(line, left+sample, y-4, left+sample, y+4)
			ring(&c, vg.Point{X: left + sample/2, Y: y}, Muted)
		}, "crossing, 95 %"})
	}
	if len(entries) == 0 {
		return 0
	}
	s := face(small, Ink)
	left, top := c.Min.X+4, c.Max.Y-lead/2
	for _, e := range entries {
		w := sample + 5 + s.Width(e.text)
		if left+w > c.Max.X && left > c.Min.X+4 {
			left, top = c.Min.X+4, top-lead
		}
		e.draw(left, top)
		c.FillText(s, vg.Point{X: left + sample + 5, Y: top - 3}, e.text)
		left += w + 14
	}
	return c.Max.Y - top + lead/2 + 2
}
