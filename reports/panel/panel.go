// Package panel lays a live reading out on a full screen of any size: the gauge
// large enough to be read from two metres, the rest below.
package panel

import (
	"math"
	"strings"
	"unicode/utf8"

	"hisspoint/reports/doc"
)

// Options say how much room there is.
type Options struct {
	Width, Height int
	Color         bool
}

// Sizes below which the gauge is one line of text.
const (
	leastWidth  = 44
	leastHeight = 16
)

// Render gives exactly Height lines of at most Width cells.
func Render(p doc.Panel, o Options) []string {
	o.Width, o.Height = max(10, o.Width), max(2, o.Height)
	c := canvas{o: o}
	c.twoSides(p.Title, p.Source, bold)
	switch {
	case o.Width < leastWidth || o.Height < leastHeight:
		c.small(p)
	case len(p.Gauges) == 2:
		c.pair(p.Gauges[0], p.Gauges[1])
	case len(p.Gauges) == 1:
		c.single(p.Gauges[0])
	}
	c.text(p.Text)
	c.figures(p.Figures)
	c.rest(p)
	return c.close(p)
}

type canvas struct {
	o     Options
	lines []string
}

// SGR codes.
const (
	plain  = ""
	bold   = "1"
	faint  = "2"
	green  = "1;32"
	yellow = "1;33"
	red    = "1;31"
)

func (c *canvas) paint(text, code string) string {
	if !c.o.Color || code == plain || text == "" {
		return text
	}
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}

func (c *canvas) room() int { return c.o.Height - len(c.lines) }

func (c *canvas) line(text, code string) {
	c.lines = append(c.lines, c.paint(cut(text, c.o.Width), code))
}

// twoSides puts one text to the left and one to the right.
func (c *canvas) twoSides(left, right, code string) {
	left, right = " "+left, right+" "
	space := c.o.Width - cells(left) - cells(right)
	if space < 1 {
		c.line(left, code)
		return
	}
	c.lines = append(c.lines, c.paint(left, code)+strings.Repeat(" ", space)+right)
}

func mood(m doc.Mood) string {
	switch m {
	case doc.AtBest:
		return green
	case doc.PastBest:
		return red
	}
	return bold
}

// below is how many lines stand below the gauges: figures, state, warnings, keys.
const below = 9

// scale is how many cells a dot of the figure may take, across and down. A cell is
// about twice as high as wide.
func scale(figure string, width, height int) (wide, high int) {
	for high = 4; high > 1; high-- {
		if digitRows*high > height {
			continue
		}
		if bigWidth(figure, 2*high) <= width {
			return 2 * high, high
		}
		if high == 2 && bigWidth(figure, 3) <= width { // slender figures are better than small ones
			return 3, 2
		}
		if high == 2 && bigWidth(figure, 2) <= width {
			return 2, 2
		}
	}
	if bigWidth(figure, 2) <= width {
		return 2, 1
	}
	return 1, 1
}

// single draws one gauge across the screen.
func (c *canvas) single(g doc.Gauge) {
	wide, high := scale(g.Value, c.o.Width-12, c.room()-below-4)
	c.line("", plain)
	rows := big(g.Value, wide, high)
	for i, r := range rows {
		switch i {
		case len(rows) - 3:
			r += "  " + g.Spread
		case len(rows) - 1:
			r += "  " + g.Unit
		}
		c.line("  "+r, mood(g.Mood))
	}
	c.line("", plain)
	c.bar(g)
	c.twoSides(" "+g.Best, g.State+" ", mood(g.Mood))
}

// bar is full at the best so far.
func (c *canvas) bar(g doc.Gauge) {
	if !g.HasBar {
		return
	}
	for range c.thick() {
		c.line("  "+bar(g.Bar, c.o.Width-4), mood(g.Mood))
	}
	c.twoSides(" "+g.Scale, "the best so far ", faint)
}

// thick is how many lines a bar takes: two where there is room, to be seen from far.
func (c *canvas) thick() int {
	if c.room() >= below+4 {
		return 2
	}
	return 1
}

// fitting is the best so far, without its moment where that would be cut.
func fitting(g doc.Gauge, width int) string {
	if cells(g.Best) <= width {
		return g.Best
	}
	return g.BestShort
}

// pair draws two gauges side by side.
func (c *canvas) pair(a, b doc.Gauge) {
	half := c.o.Width / 2
	longest := a.Value
	if cells(b.Value) > cells(longest) {
		longest = b.Value
	}
	wide, high := scale(longest, half-3, c.room()-below-5)
	c.line("", plain)
	c.columns(half, " "+a.Label+", "+a.Unit, " "+b.Label+", "+b.Unit, bold, bold)
	left, right := big(a.Value, wide, high), big(b.Value, wide, high)
	for i := range left {
		c.columns(half, "  "+left[i], "  "+right[i], mood(a.Mood), mood(b.Mood))
	}
	c.line("", plain)
	for range c.thick() {
		c.columns(half, "  "+bar(a.Bar, half-5), "  "+bar(b.Bar, half-5), mood(a.Mood), mood(b.Mood))
	}
	c.columns(half, "  "+fitting(a, half-3), "  "+fitting(b, half-3), plain, plain)
	c.columns(half, "  "+a.State, "  "+b.State, mood(a.Mood), mood(b.Mood))
}

func (c *canvas) columns(half int, left, right, leftCode, rightCode string) {
	left = cut(left, half-1)
	pad := strings.Repeat(" ", half-cells(left))
	c.lines = append(c.lines, c.paint(left, leftCode)+pad+c.paint(cut(right, c.o.Width-half), rightCode))
}

// small is a gauge on a screen without room.
func (c *canvas) small(p doc.Panel) {
	for _, g := range p.Gauges {
		c.line(" "+g.Value+" "+g.Unit+"  "+g.State, mood(g.Mood))
		c.line(" "+bar(g.Bar, c.o.Width-2), mood(g.Mood))
	}
}

// eighths of a cell, from the left.
var eighths = []rune(" ▏▎▍▌▋▊▉")

// bar is a share of so many cells, to an eighth of one.
func bar(share float64, width int) string {
	if width < 1 {
		return ""
	}
	n := int(math.Round(math.Max(0, math.Min(1, share)) * float64(8*width)))
	out := strings.Repeat("█", n/8)
	if n%8 > 0 {
		out += string(eighths[n%8])
	}
	return out + strings.Repeat("·", width-cells(out))
}

// text is what the person is told.
func (c *canvas) text(lines []string) {
	if len(lines) > 0 {
		c.line("", plain)
	}
	var all []string
	for _, l := range lines {
		if cells(l) > c.o.Width-4 { // a drawing keeps its blanks
			all = append(all, fold(l, c.o.Width-4)...)
			continue
		}
		all = append(all, l)
	}
	if most := c.room() - 1; len(all) > most {
		all = append(all[:max(0, most-1)], "... a taller window shows the rest")
	}
	for _, l := range all {
		if c.room() > 1 {
			c.line("  "+l, plain)
		}
	}
}

// figures stand in columns.
func (c *canvas) figures(list []doc.Figure) {
	if len(list) == 0 || c.room() < 4 {
		return
	}
	c.line("", plain)
	const column = 26
	per := max(1, (c.o.Width-1)/column)
	for len(list) > 0 && c.room() > 3 {
		text := " "
		for _, f := range list[:min(per, len(list))] {
			label := " " + f.Label
			cell := label + strings.Repeat(" ", max(1, 12-cells(label))) + f.Value
			text += cell + strings.Repeat(" ", max(1, column-cells(cell)))
		}
		c.line(strings.TrimRight(text, " "), plain)
		list = list[min(per, len(list)):]
	}
}

// rest is state, advice and warnings, as far as there is room.
func (c *canvas) rest(p doc.Panel) {
	if c.room() > 2+len(p.Warnings) {
		c.line("", plain)
	}
	if c.room() > 1 {
		c.line("  "+p.State, plain)
	}
	for _, w := range p.Warnings {
		for _, l := range fold("! "+w, c.o.Width-4) {
			if c.room() > 1 {
				c.line("  "+l, yellow)
			}
		}
	}
	if p.Advice != "" {
		for _, l := range fold(p.Advice, c.o.Width-4) {
			if c.room() > 1 {
				c.line("  "+l, faint)
			}
		}
	}
}

// close fills up to the last line, which has the keys or the question.
func (c *canvas) close(p doc.Panel) []string {
	for len(c.lines) < c.o.Height-1 {
		c.lines = append(c.lines, "")
	}
	c.lines = c.lines[:c.o.Height-1]
	if p.Prompt != "" {
		c.line(" "+p.Prompt+" "+p.Answer+"▏", bold)
		return c.lines
	}
	var parts []string
	for _, k := range p.Keys {
		parts = append(parts, "["+k.Label+"] "+k.Value)
	}
	c.line(" "+strings.Join(parts, "  "), faint)
	return c.lines
}

func cells(s string) int { return utf8.RuneCountInString(s) }

func cut(s string, width int) string {
	r := []rune(s)
	return string(r[:min(len(r), max(0, width))])
}

// fold breaks a text at blanks.
func fold(s string, width int) []string {
	var lines []string
	line := ""
	for _, w := range strings.Fields(s) {
		if line != "" && cells(line)+1+cells(w) > width {
			lines = append(lines, line)
			line = "  " + w
			continue
		}
		if line != "" {
			line += " "
		}
		line += w
	}
	return append(lines, line)
}
