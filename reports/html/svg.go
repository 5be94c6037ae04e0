package html

import (
	"fmt"
	"image/color"
	"strconv"
	"strings"

	"hisspoint/reports/curve"
	"hisspoint/reports/doc"
)

// Sizes of a picture in CSS pixels: for the page, and for a phone, where the
// same picture made smaller could not be read.
var sizes = []struct {
	class         string
	width, height float64
}{{"wide", 640, 340}, {"narrow", 340, 330}}

func (p *page) curve(c doc.Curve) {
	if len(c.Traces) == 0 {
		return
	}
	p.figures++
	p.raw("<figure>\n")
	if c.Title != "" {
		p.open("figcaption", "")
		p.text(c.Title)
		if c.Note != "" {
			p.raw(` <span class="small">(`)
			p.text(c.Note)
			p.raw(")</span>")
		}
		p.raw("</figcaption>\n")
	}
	for _, s := range sizes {
		id := fmt.Sprintf("f%d%s", p.figures, s.class)
		p.raw(fmt.Sprintf(`<svg class="%s" viewBox="0 0 %g %g" role="img" aria-labelledby="%st %sd">`, s.class, s.width, s.height, id, id))
		p.raw(`<title id="` + id + `t">`)
		p.text(c.Title)
		p.raw(`</title><desc id="` + id + `d">`)
		p.text(c.Says)
		p.raw("</desc>\n")
		curve.Draw(&pen{p}, c, s.width, s.height)
		p.raw("</svg>\n")
	}
	p.raw("</figure>\n")
}

// pen draws into the page; the style sheet colours what it draws.
type pen struct{ p *page }

var roles = map[color.NRGBA]string{
	curve.Ink: "ink", curve.Muted: "muted", curve.Grid: "grid", curve.Before: "before", curve.After: "after", curve.LimitLine: "limit", curve.Paper: "paper",
}

// role is the colour's part of a class, and how much of it covers.
func role(c color.NRGBA) (name, opacity string) {
	if c.A != 0xff {
		opacity = ` fill-opacity="` + number(float64(c.A)/255) + `"`
		c.A = 0xff
	}
	if name = roles[c]; name == "" {
		name = "ink"
	}
	return name, opacity
}

// number is short: hundredths are finer than any screen.
func number(v float64) string {
	text := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', 2, 64), "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

func (n *pen) path(paths []curve.Path) string {
	var b strings.Builder
	for _, p := range paths {
		for i, q := range p.Points {
			b.WriteByte("ML"[min(i, 1)])
			b.WriteString(number(q.X) + " " + number(q.Y))
		}
		if p.Closed {
			b.WriteByte('Z')
		}
	}
	return b.String()
}

func (n *pen) Stroke(paths []curve.Path, l curve.Line) {
	name, _ := role(l.Color)
	dash := ""
	if len(l.Dash) > 0 {
		var parts []string
		for _, d := range l.Dash {
			parts = append(parts, number(d))
		}
		dash = ` stroke-dasharray="` + strings.Join(parts, " ") + `"`
	}
	n.p.raw(`<path class="s s` + name + `" stroke-width="` + number(l.Width) + `"` + dash + ` d="` + n.path(paths) + "\"/>\n")
}

func (n *pen) Fill(paths []curve.Path, c color.NRGBA) {
	name, opacity := role(c)
	n.p.raw(`<path class="f` + name + `"` + opacity + ` d="` + n.path(paths) + "\"/>\n")
}

func (n *pen) Text(at curve.Point, angle, size float64, _ bool, c color.NRGBA, text string) {
	name, _ := role(c)
	turn := ""
	if angle != 0 {
		turn = ` transform="rotate(` + number(-angle) + " " + number(at.X) + " " + number(at.Y) + `)"`
	}
	n.p.raw(`<text class="f` + name + `" x="` + number(at.X) + `" y="` + number(at.Y) + `" font-size="` + number(size) + `"` + turn + ">")
	n.p.text(text)
	n.p.raw("</text>\n")
}
