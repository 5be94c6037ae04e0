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
	if p.Page != "" { // which part this is counts for more than where the sound comes from
		p.Source = p.Page
	}
	c.twoSides(cut(p.Title, max(0, o.Width-3-cells(p.Page))), p.Source, bold)
	switch {
	case o.Width < leastWidth || o.Height < leastHeight:
		c.small(p)
	case len(p.Gauges) == 2:
		c.pair(p)
	case len(p.Gauges) == 1:
		c.single(p)
	}
	c.text(p)
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
	broken = "1;35"
	turned = ";7" // behind another: light on dark turned over
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
	case doc.Broken:
		return broken
	}
	return bold
}

// below is how many lines stand below the gauges: figures, state, warnings, keys.
const below = 5

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

// around is how many lines belong to a figure besides its own: what is to be said, its
// bar, the ends of that, and its course.
const around = 9

// single draws one gauge across the screen.
func (c *canvas) single(p doc.Panel) {
	g := p.Gauges[0]
	wide, high := scale(g.Value, c.o.Width-12, c.room()-below-around)
	rows := big(g.Value, wide, high)
	for i, r := range rows {
		switch i {
		case len(rows) - 3:
			r += "  " + g.Spread
		case len(rows) - 1:
			r += "  " + g.Unit
		}
		c.line("  "+r, mood(p.Mood))
	}
	c.say(p)
	for range c.thick() {
		c.line("  "+bar(g, c.o.Width-4), mood(p.Mood))
	}
	c.ends(g)
	c.course(g.Course)
}

// say is how the aim stands, across the whole width: in letters where they fit.
func (c *canvas) say(p doc.Panel) {
	if p.Say == "" {
		return
	}
	rows, ok := spelled(p.Say, c.o.Width-4)
	if !ok || c.room() < letterRows+below {
		rows = []string{strings.ToUpper(p.Say)}
	}
	for _, r := range rows {
		left := (c.o.Width - cells(r)) / 2
		r = strings.Repeat(" ", max(0, left)) + r
		c.line(r+strings.Repeat(" ", max(0, c.o.Width-cells(r))), mood(p.Mood)+turned)
	}
}

// ends are what the bar's ends stand for, with the best between them.
func (c *canvas) ends(g doc.Gauge) {
	if g.Poor == "" {
		c.line("", plain)
		return
	}
	best := g.Best
	room := c.o.Width - 8 - cells(g.Poor) - cells(g.Good)
	if cells(best) > room {
		best = cut(g.BestShort, room)
	}
	gap := max(0, room-cells(best))
	c.line("  "+g.Poor+strings.Repeat(" ", 2+gap/2)+best+strings.Repeat(" ", 2+gap-gap/2)+g.Good, plain)
}

// courseRows is how many lines a course takes.
const courseRows = 3

// course is the last 60 s, the newest at the right.
func (c *canvas) course(k doc.Course) {
	if len(k.Places) == 0 || c.room() < courseRows+3 {
		return
	}
	width := c.o.Width - 4
	from := cells(k.Good)
	if cells(k.Poor) > from {
		from = cells(k.Poor)
	}
	labels := []string{k.Good, "60 s", k.Poor}
	for i, row := range drawn(k, width-from-1, courseRows) {
		c.line("  "+row+" "+labels[i], faint)
	}
}

// drawn is a course in cells: each column the mean of what was read in its time.
func drawn(k doc.Course, width, rows int) []string {
	out := make([]string, rows)
	for col := range max(0, width) {
		first := len(k.Places) - k.Most + col*k.Most/width
		last := len(k.Places) - k.Most + max(col*k.Most/width+1, (col+1)*k.Most/width)
		sum, n := 0.0, 0
		for i := max(0, first); i < last; i++ {
			if k.Places[i] >= 0 {
				sum, n = sum+k.Places[i], n+1
			}
		}
		high := 0
		if n > 0 {
			high = max(1, int(math.Round(sum/float64(n)*float64(8*rows))))
		}
		for row := range rows {
			part := max(0, min(8, high-8*(rows-1-row)))
			cell := ' '
			if part > 0 {
				cell = levels[part-1]
			}
			out[row] += string(cell)
		}
	}
	return out
}

var levels = []rune("▁▂▃▄▅▆▇█")

// thick is how many lines a bar takes: two where there is room, to be seen from far.
func (c *canvas) thick() int {
	if c.room() >= below+courseRows+3 {
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

// pair draws two gauges side by side; what is said is said of the first.
func (c *canvas) pair(p doc.Panel) {
	a, b := p.Gauges[0], p.Gauges[1]
	half := c.o.Width / 2
	longest := a.Value
	if cells(b.Value) > cells(longest) {
		longest = b.Value
	}
	wide, high := scale(longest, half-3, c.room()-below-around)
	c.columns(half, " "+a.Label+", "+a.Unit, " "+b.Label+", "+b.Unit, bold, bold)
	left, right := big(a.Value, wide, high), big(b.Value, wide, high)
	for i := range left {
		c.columns(half, "  "+left[i], "  "+right[i], mood(p.Mood), bold)
	}
	c.say(p)
	for range c.thick() {
		c.columns(half, "  "+bar(a, half-5), "  "+bar(b, half-5), mood(p.Mood), bold)
	}
	c.columns(half, "  "+fitting(a, half-3), "  "+fitting(b, half-3), plain, plain)
	c.course(a.Course)
}

func (c *canvas) columns(half int, left, right, leftCode, rightCode string) {
	left = cut(left, half-1)
	pad := strings.Repeat(" ", half-cells(left))
	c.lines = append(c.lines, c.paint(left, leftCode)+pad+c.paint(cut(right, c.o.Width-half), rightCode))
}

// small is a gauge on a screen without room.
func (c *canvas) small(p doc.Panel) {
	c.say(p)
	for _, g := range p.Gauges {
		c.line(" "+g.Value+" "+g.Unit+"  "+g.BestShort, mood(p.Mood))
		c.line(" "+bar(g, c.o.Width-2), mood(p.Mood))
	}
	if len(p.Gauges) == 1 {
		c.ends(doc.Gauge{Poor: p.Gauges[0].Poor, Good: p.Gauges[0].Good})
		c.course(p.Gauges[0].Course)
	}
}

var eighths = []rune(" ▏▎▍▌▋▊▉")

// bar fills its share of so many cells, to an eighth of one; the best stands on it as
// a mark.
func bar(g doc.Gauge, width int) string {
	if width < 1 || !g.HasBar && !g.HasBest {
		return ""
	}
	n := 0
	if g.HasBar {
		n = int(math.Round(math.Max(0, math.Min(1, g.Place)) * float64(8*width)))
	}
	out := []rune(strings.Repeat("█", n/8))
	if n%8 > 0 {
		out = append(out, eighths[n%8])
	}
	out = append(out, []rune(strings.Repeat("·", width-len(out)))...)
	if g.HasBest {
		out[max(0, min(width-1, int(math.Round(g.BestPlace*float64(width)))))] = '┃'
	}
	return string(out)
}

// Pages are the parts of a text that fit a screen one after the other, below a title and
// above a question.
func Pages(text []string, prompt string, o Options) (pages [][]string) {
	all := folded(text, o.Width-4)
	rows := max(1, o.Height-2-len(asked(prompt, o.Width)))
	for len(all) > rows {
		pages, all = append(pages, all[:rows]), all[rows:]
	}
	return append(pages, all)
}

// asked is a question on as many lines as it needs, with room for an answer.
func asked(prompt string, width int) []string { return fold(prompt, max(10, width-10)) }

// folded is a text at a width. A drawing, whose lines begin with blanks, keeps its own
// and is shown in halves where it is wider.
func folded(text []string, width int) (all []string) {
	for i := 0; i < len(text); i++ {
		end := i
		for end < len(text) && strings.HasPrefix(text[end], "  ") {
			end++
		}
		switch {
		case end == i && cells(text[i]) <= width:
			all = append(all, text[i])
			continue
		case end == i:
			all = append(all, fold(text[i], width)...)
			continue
		}
		all = append(all, halves(text[i:end], width)...)
		i = end - 1
	}
	return all
}

// halves is a drawing, or its left part and below that what lies to the right of it.
func halves(drawing []string, width int) (all []string) {
	widest := 0
	for _, l := range drawing {
		widest = max(widest, cells(l))
	}
	if widest <= width {
		return drawing
	}
	for from, side := 2, "left part:"; from < widest; from, side = from+width, "to the right of it:" {
		all = append(all, side)
		for _, l := range drawing {
			all = append(all, strings.TrimRight(cut(string([]rune(l)[min(from, cells(l)):]), width), " "))
		}
	}
	return all
}

// text is what the person is told.
func (c *canvas) text(p doc.Panel) {
	if len(p.Text) > 0 {
		c.line("", plain)
	}
	for _, l := range folded(p.Text, c.o.Width-4) {
		if c.room() > len(asked(p.Prompt, c.o.Width)) {
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
	lines := 2
	for _, w := range p.Warnings {
		lines += len(fold("! "+w, c.o.Width-4))
	}
	if c.room() > lines {
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
	question := []string{""}
	if p.Prompt != "" {
		question = asked(p.Prompt, c.o.Width)
	}
	last := max(0, c.o.Height-len(question))
	for len(c.lines) < last {
		c.lines = append(c.lines, "")
	}
	c.lines = c.lines[:last]
	if p.Prompt != "" {
		for _, l := range question[:len(question)-1] {
			c.line(" "+l, bold)
		}
		c.line(" "+question[len(question)-1]+" "+p.Answer+"▏", bold)
		return c.lines[max(0, len(c.lines)-c.o.Height):]
	}
	keys := ""
	for _, k := range p.Keys {
		if one := " [" + k.Label + "] " + k.Value; cells(keys)+cells(one) < c.o.Width {
			keys += one + " "
		}
	}
	c.line(strings.TrimRight(keys, " "), faint)
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
