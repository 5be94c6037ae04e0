package curve

import (
	"image"
	"image/color"
	"math"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// Point lies on a picture: points (1/72 inch) from its left upper corner.
type Point struct{ X, Y float64 }

// Path is corners joined by straight lines.
type Path struct {
	Points []Point
	Closed bool
}

// Line is how a path is stroked.
type Line struct {
	Color color.NRGBA
	Width float64
	Dash  []float64 // empty: drawn through
}

// Pen is what a picture is drawn with. A renderer brings its own.
type Pen interface {
	Stroke(paths []Path, line Line)
	Fill(paths []Path, c color.NRGBA)
	// Text begins at the point on its base line; angle turns it, in degrees
	// against the clock.
	Text(at Point, angle, size float64, bold bool, c color.NRGBA, text string)
}

// canvas is a vg.Canvas that knows all transforms itself, so that a pen gets
// nothing but lines, areas and texts where they belong.
type canvas struct {
	pen    Pen
	height float64
	state
	stack []state
}

type state struct {
	line Line
	m    matrix
}

// matrix maps x, y to (a x + c y + e, b x + d y + f).
type matrix struct{ a, b, c, d, e, f float64 }

func newCanvas(pen Pen, height float64) *canvas {
	c := &canvas{pen: pen, height: height}
	c.m = matrix{a: 1, d: 1}
	vg.Initialize(c)
	return c
}

func (m matrix) times(n matrix) matrix {
	return matrix{
		m.a*n.a + m.c*n.b, m.b*n.a + m.d*n.b, m.a*n.c + m.c*n.d, m.b*n.c + m.d*n.d,
		m.a*n.e + m.c*n.f + m.e, m.b*n.e + m.d*n.f + m.f,
	}
}

// at is where a place of the plot lies on the picture, whose Y runs down.
func (c *canvas) at(p vg.Point) Point {
	x, y := float64(p.X), float64(p.Y)
	return Point{c.m.a*x + c.m.c*y + c.m.e, c.height - (c.m.b*x + c.m.d*y + c.m.f)}
}

func (c *canvas) SetLineWidth(w vg.Length) { c.line.Width = float64(w) }

func (c *canvas) SetLineDash(pattern []vg.Length, _ vg.Length) {
	c.line.Dash = nil
	for _, l := range pattern {
		c.line.Dash = append(c.line.Dash, float64(l))
	}
}

func (c *canvas) SetColor(k color.Color) {
	if k == nil {
		k = color.Black
	}
	c.line.Color = color.NRGBAModel.Convert(k).(color.NRGBA)
}

func (c *canvas) Rotate(rad float64) {
	s, k := math.Sincos(rad)
	c.m = c.m.times(matrix{a: k, b: s, c: -s, d: k})
}

func (c *canvas) Translate(p vg.Point) {
	c.m = c.m.times(matrix{a: 1, d: 1, e: float64(p.X), f: float64(p.Y)})
}

func (c *canvas) Scale(x, y float64) { c.m = c.m.times(matrix{a: x, d: y}) }

func (c *canvas) Push() { c.stack = append(c.stack, c.state) }

func (c *canvas) Pop() {
	c.state = c.stack[len(c.stack)-1]
	c.stack = c.stack[:len(c.stack)-1]
}

func (c *canvas) Stroke(p vg.Path) {
	if c.line.Width > 0 {
		c.pen.Stroke(c.paths(p), c.line)
	}
}

func (c *canvas) Fill(p vg.Path) { c.pen.Fill(c.paths(p), c.line.Color) }

func (c *canvas) FillString(f font.Face, p vg.Point, text string) {
	if f.Font.Size > 0 && text != "" {
		angle := math.Atan2(c.m.b, c.m.a) * 180 / math.Pi
		c.pen.Text(c.at(p), angle, float64(f.Font.Size), f.Font.Weight > 0, c.line.Color, text)
	}
}

// DrawImage has nothing to do: no picture of ours holds an image.
func (c *canvas) DrawImage(vg.Rectangle, image.Image) {}

// paths flattens arcs and curves, which are only ever as large as a marker.
func (c *canvas) paths(p vg.Path) []Path {
	var all []Path
	add := func(q vg.Point) {
		if len(all) == 0 {
			all = append(all, Path{})
		}
		last := &all[len(all)-1]
		last.Points = append(last.Points, c.at(q))
	}
	for _, k := range p {
		switch k.Type {
		case vg.MoveComp:
			all = append(all, Path{})
			add(k.Pos)
		case vg.LineComp, vg.CurveComp:
			add(k.Pos)
		case vg.ArcComp:
			const steps = 20
			for i := range steps + 1 {
				s, cos := math.Sincos(k.Start + k.Angle*float64(i)/steps)
				add(vg.Point{X: k.Pos.X + k.Radius*vg.Length(cos), Y: k.Pos.Y + k.Radius*vg.Length(s)})
			}
		case vg.CloseComp:
			if len(all) > 0 {
				all[len(all)-1].Closed = true
			}
		}
	}
	return all
}
