package pdf

import (
	"image/color"

	"hisspoint/reports/curve"
)

// pen draws a picture whose left upper corner lies at x, y.
type pen struct {
	s    *setter
	x, y float64
}

func (p *pen) paths(paths []curve.Path, style string) {
	for _, path := range paths {
		for i, q := range path.Points {
			if i == 0 {
				p.s.f.MoveTo(p.x+q.X, p.y+q.Y)
			} else {
				p.s.f.LineTo(p.x+q.X, p.y+q.Y)
			}
		}
		if path.Closed {
			p.s.f.ClosePath()
		}
	}
	p.s.f.DrawPath(style)
}

func (p *pen) Stroke(paths []curve.Path, l curve.Line) {
	p.s.f.SetDrawColor(int(l.Color.R), int(l.Color.G), int(l.Color.B))
	p.s.f.SetLineWidth(l.Width)
	p.s.f.SetDashPattern(l.Dash, 0)
	p.paths(paths, "D")
	p.s.f.SetDashPattern(nil, 0)
}

func (p *pen) Fill(paths []curve.Path, c color.NRGBA) {
	p.s.f.SetFillColor(int(c.R), int(c.G), int(c.B))
	if c.A != 0xff {
		p.s.f.SetAlpha(float64(c.A)/255, "Normal")
		defer p.s.f.SetAlpha(1, "Normal")
	}
	p.paths(paths, "F")
}

func (p *pen) Text(at curve.Point, angle, size float64, bold bool, c color.NRGBA, text string) {
	p.s.font(size, bold, rgb{int(c.R), int(c.G), int(c.B)})
	x, y := p.x+at.X, p.y+at.Y
	if angle != 0 {
		p.s.f.TransformBegin()
		p.s.f.TransformRotate(angle, x, y)
		defer p.s.f.TransformEnd()
	}
	p.s.write(x, y, text)
}
