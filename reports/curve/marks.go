package curve

import (
	"image/color"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const markRadius = 2.6

func polygon(c *draw.Canvas, corners []vg.Point, fill, stroke color.NRGBA) {
	var p vg.Path
	p.Move(corners[0])
	for _, q := range corners[1:] {
		p.Line(q)
	}
	p.Close()
	c.SetColor(fill)
	c.Fill(p)
	c.SetLineStyle(draw.LineStyle{Color: stroke, Width: 1.1})
	c.Stroke(p)
}

func hollowSquare(c *draw.Canvas, p vg.Point, r vg.Length, k color.NRGBA) {
	polygon(c, []vg.Point{{X: p.X - r, Y: p.Y - r}, {X: p.X + r, Y: p.Y - r}, {X: p.X + r, Y: p.Y + r}, {X: p.X - r, Y: p.Y + r}}, Paper, k)
}

func hollowTriangle(c *draw.Canvas, p vg.Point, r vg.Length, k color.NRGBA) {
	polygon(c, []vg.Point{{X: p.X - 1.1*r, Y: p.Y - r}, {X: p.X + 1.1*r, Y: p.Y - r}, {X: p.X, Y: p.Y + 1.2*r}}, Paper, k)
}

func diamond(c *draw.Canvas, p vg.Point, r vg.Length, k color.NRGBA) {
	polygon(c, []vg.Point{{X: p.X - 1.3*r, Y: p.Y}, {X: p.X, Y: p.Y - 1.3*r}, {X: p.X + 1.3*r, Y: p.Y}, {X: p.X, Y: p.Y + 1.3*r}}, k, k)
}

func hollowDisc(c *draw.Canvas, p vg.Point, r vg.Length, k color.NRGBA) {
	disc(c, p, r, k)
	disc(c, p, r-1.1, Paper)
}

func triangle(c *draw.Canvas, p vg.Point, r vg.Length, k color.NRGBA) {
	polygon(c, []vg.Point{{X: p.X - 1.1*r, Y: p.Y + r}, {X: p.X + 1.1*r, Y: p.Y + r}, {X: p.X, Y: p.Y - 1.2*r}}, k, k)
}

func disc(c *draw.Canvas, p vg.Point, r vg.Length, k color.NRGBA) {
	var q vg.Path
	q.Move(vg.Point{X: p.X + r, Y: p.Y})
	q.Arc(p, r, 0, 2*3.141592653589793)
	q.Close()
	c.SetColor(k)
	c.Fill(q)
}
