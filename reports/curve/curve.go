// Package curve draws the curves of a document: traces with the band of their
// intervals, the threshold, the limit and where the threshold is crossed. Line
// style and marker tell traces apart; colour only repeats it, so that a grey
// print says the same.
package curve

import (
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// The colours of a picture, on white. A renderer may put others in their place.
var (
	Ink       = color.NRGBA{0x1c, 0x22, 0x28, 0xff}
	Muted     = color.NRGBA{0x59, 0x63, 0x6e, 0xff}
	Grid      = color.NRGBA{0xd9, 0xde, 0xe3, 0xff}
	Before    = color.NRGBA{0xa8, 0x4b, 0x12, 0xff}
	After     = color.NRGBA{0x0b, 0x5c, 0x7a, 0xff}
	Paper     = color.NRGBA{0xff, 0xff, 0xff, 0xff}
	LimitLine = color.NRGBA{0x8f, 0x1d, 0x3f, 0xff}
)

// style is how one trace looks.
type style struct {
	color  color.NRGBA
	dash   []vg.Length
	marker func(c *draw.Canvas, p vg.Point, r vg.Length, k color.NRGBA)
}

var styles = []style{
	{Before, []vg.Length{5, 3}, hollowSquare},
	{After, nil, disc},
	{Before, []vg.Length{1.2, 2.2}, hollowTriangle},
	{After, []vg.Length{7, 2, 1.2, 2}, diamond},
	{Before, []vg.Length{9, 2}, hollowDisc},
	{After, []vg.Length{3, 1.5}, triangle},
}

// bounds are how a mask and an ideal look: no marker, since nothing was measured.
var bounds = []style{{color: Ink, dash: []vg.Length{1, 1.6}}, {color: Muted, dash: []vg.Length{10, 3, 2, 3}}}

// crowded is from how many points on a trace is a line without markers.
const crowded = 40

func styleOf(n int) style { return styles[((n%len(styles))+len(styles))%len(styles)] }

// lookOf is the style of a trace.
func lookOf(t doc.Trace) style {
	s := styleOf(t.Style)
	if t.Bound {
		s = bounds[((t.Style%len(bounds))+len(bounds))%len(bounds)]
	}
	if len(t.Points) > crowded {
		s.marker = nil
	}
	return s
}

const (
	small = 8.5
	lead  = 14 // height of a line of the key
)

// Draw draws a curve onto a picture of that width and height, in points.
// A curve without points draws nothing.
func Draw(pen Pen, c doc.Curve, width, height float64) {
	if n := points(c); n == 0 {
		return
	}
	p := newPlot()
	x0, x1, y0, y1 := extent(c)
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = x0, x1, y0, y1
	p.X.Label.Text, p.Y.Label.Text = label(c.X), label(c.Y)
	if c.LogX && x0 > 0 {
		p.X.Scale = plot.LogScale{}
	}
	p.X.Tick.Marker, p.Y.Tick.Marker = ticks{max(3, int(width/48)), c.LogX && x0 > 0}, ticks{max(3, int(height/34)), false}
	p.Add(gridLines{})
	for _, t := range c.Traces {
		p.Add(band{t})
	}
	if c.Threshold != nil {
		p.Add(across{*c.Threshold, c.Traces})
	}
	if c.Limit != nil && c.Limit.At >= x0 && c.Limit.At <= x1 {
		p.Add(upright{*c.Limit})
	}
	for _, t := range c.Traces {
		p.Add(trace{t})
	}
	for _, t := range c.Traces {
		if t.Crossing != nil {
			p.Add(crossing{t})
		}
	}
	if len(c.Spans) > 0 {
		p.Add(spans(c.Spans))
	}
	if len(c.Marks) > 0 {
		p.Add(marks{c.Marks, c.Traces})
	}
	canvas := draw.NewCanvas(newCanvas(pen, height), vg.Length(width), vg.Length(height))
	used := key(canvas, c)
	p.Draw(draw.Crop(canvas, 0, -6, 0, -used))
}

func points(c doc.Curve) int {
	n := 0
	for _, t := range c.Traces {
		n += len(t.Points)
	}
	return n
}

func label(a doc.Axis) string {
	if a.Unit == "" {
		return short(a.Name)
	}
	return short(a.Name + " / " + a.Unit)
}

// short is a text that has room in a picture.
func short(s string) string {
	const most = 48
	if rs := []rune(say.Clean(s[:min(len(s), 4*most)])); len(rs) > most {
		return string(rs[:most-3]) + "..."
	}
	return say.Clean(s)
}

// extent is the range of both axes, a little wider than what is drawn.
func extent(c doc.Curve) (x0, x1, y0, y1 float64) {
	x0, x1, y0, y1 = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, t := range c.Traces {
		for _, d := range t.Points {
			x0, x1 = math.Min(x0, d.X), math.Max(x1, d.X)
			y0, y1 = math.Min(y0, math.Min(d.Y, d.Low)), math.Max(y1, math.Max(d.Y, d.High))
		}
		if t.Crossing != nil {
			x0, x1 = math.Min(x0, t.Crossing.Low), math.Max(x1, t.Crossing.High)
		}
	}
	if c.Threshold != nil {
		y0, y1 = math.Min(y0, c.Threshold.At), math.Max(y1, c.Threshold.At)
	}
	if c.Limit != nil && c.Limit.At > x0-10 && c.Limit.At < x1+10 {
		x0, x1 = math.Min(x0, c.Limit.At), math.Max(x1, c.Limit.At)
	}
	for _, m := range c.Marks {
		y1 = math.Max(y1, m.Y)
	}
	if c.LogX && x0 > 0 && x1 > x0 {
		r := math.Pow(x1/x0, 0.04)
		x0, x1 = x0/r, x1*r
	} else {
		x0, x1 = wider(x0, x1)
	}
	y0, y1 = wider(y0, y1)
	if len(c.Spans)+len(c.Marks) > 0 { // room for them above
		y1 += 0.18 * (y1 - y0)
	}
	return x0, x1, y0, y1
}

func wider(low, high float64) (float64, float64) {
	by := 0.04 * (high - low)
	if by == 0 {
		by = 1
	}
	return low - by, high + by
}

func face(size vg.Length, c color.NRGBA) text.Style {
	return text.Style{Color: c, Font: font.Font{Typeface: "Liberation", Variant: "Sans", Size: size}, Handler: plot.DefaultTextHandler}
}

func newPlot() *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Color, a.Width, a.Padding = Muted, 0.6, 0
		a.Tick.Color, a.Tick.Width, a.Tick.Length = Muted, 0.6, 3
		own := face(small, Ink)
		own.XAlign, own.YAlign, own.Rotation = a.Tick.Label.XAlign, a.Tick.Label.YAlign, a.Tick.Label.Rotation
		a.Tick.Label = own
		own = face(small+0.5, Ink)
		own.XAlign, own.YAlign, own.Rotation = a.Label.TextStyle.XAlign, a.Label.TextStyle.YAlign, a.Label.TextStyle.Rotation
		a.Label.TextStyle = own
		a.Label.Padding = 4
	}
	return p
}
