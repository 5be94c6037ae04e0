package text

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// The curve's box: not so large that it drives the answer off the screen.
const (
	curveRows   = 12
	curveColumn = 60
	scaleWidth  = 5 // figures on the left
)

// grid is a picture of characters, row 0 on top.
type grid struct {
	cells          [][]rune
	x0, x1, y0, y1 float64
	log            bool // along X: ratios
}

// along is where x lies on the axis.
func (g *grid) along(x float64) float64 {
	if g.log {
		return math.Log10(x)
	}
	return x
}

func (g *grid) column(x float64) int {
	return int(math.Round((g.along(x) - g.x0) / (g.x1 - g.x0) * float64(len(g.cells[0])-1)))
}

func (g *grid) row(y float64) int {
	return len(g.cells) - 1 - int(math.Round((y-g.y0)/(g.y1-g.y0)*float64(len(g.cells)-1)))
}

func (g *grid) put(row, column int, r rune) {
	if row >= 0 && row < len(g.cells) && column >= 0 && column < len(g.cells[0]) {
		g.cells[row][column] = r
	}
}

// drawCurve draws points (o), masks and ideals (.), their intervals (|), the threshold (dashes), a
// limit (colons) and the crossing (X) with its interval (=).
func drawCurve(c doc.Curve, width int) []string {
	if !hasPoints(c) {
		return nil
	}
	g := newGrid(c, min(curveColumn, width-scaleWidth-2))
	if c.Threshold != nil {
		for i := range g.cells[0] {
			if i%2 == 0 {
				g.put(g.row(c.Threshold.At), i, '-')
			}
		}
	}
	if c.Limit != nil && g.along(c.Limit.At) >= g.x0 && g.along(c.Limit.At) <= g.x1 {
		for i := range g.cells {
			g.put(i, g.column(c.Limit.At), ':')
		}
	}
	for _, t := range c.Traces {
		if t.Bound {
			g.dotted(t)
		}
	}
	for i, t := range c.Traces {
		if t.Bound {
			continue
		}
		for _, p := range t.Points {
			for r := g.row(p.High); r <= g.row(p.Low); r++ {
				g.put(r, g.column(p.X), '|')
			}
		}
		for _, p := range t.Points {
			g.put(g.row(p.Y), g.column(p.X), mark(i))
		}
		if x := t.Crossing; x != nil {
			for i := g.column(x.Low); i <= g.column(x.High); i++ {
				g.put(g.row(x.Y), i, '=')
			}
			g.put(g.row(x.Y), g.column(x.X), 'X')
		}
	}
	return g.framed(c)
}

// dotted draws a line that was not measured, with a dot in every other column.
func (g *grid) dotted(t doc.Trace) {
	for i := 1; i < len(t.Points); i++ {
		a, b := t.Points[i-1], t.Points[i]
		from, to := g.column(a.X), g.column(b.X)
		for k := from; k <= to; k++ {
			share := 0.0
			if to > from {
				share = float64(k-from) / float64(to-from)
			}
			if k%2 == 0 || to == from {
				g.put(g.row(a.Y+share*(b.Y-a.Y)), k, '.')
			}
		}
	}
}

func hasPoints(c doc.Curve) bool {
	for _, t := range c.Traces {
		if len(t.Points) > 0 {
			return true
		}
	}
	return false
}

// mark is how the points of a trace look.
func mark(trace int) rune {
	const marks = "o+*#"
	return rune(marks[trace%len(marks)])
}

// newGrid finds round ends for both axes.
func newGrid(c doc.Curve, columns int) *grid {
	g := &grid{x0: math.Inf(1), x1: math.Inf(-1), y0: math.Inf(1), y1: math.Inf(-1), log: c.LogX}
	for _, t := range c.Traces {
		for _, p := range t.Points {
			g.log = g.log && p.X > 0
		}
	}
	for _, t := range c.Traces {
		for _, p := range t.Points {
			g.x0, g.x1 = math.Min(g.x0, g.along(p.X)), math.Max(g.x1, g.along(p.X))
			g.y0, g.y1 = math.Min(g.y0, p.Y), math.Max(g.y1, p.Y)
		}
	}
	if c.Threshold != nil {
		g.y0, g.y1 = math.Min(g.y0, c.Threshold.At), math.Max(g.y1, c.Threshold.At)
	}
	g.y0, g.y1 = roundEnds(g.y0, g.y1)
	switch span := g.x1 - g.x0; {
	case g.log:
		g.x0, g.x1 = g.x0-0.03*span-1e-3, g.x1+0.03*span+1e-3
	case span > 4:
		g.x0, g.x1 = math.Floor(g.x0-0.5), math.Ceil(g.x1+0.5)
	default:
		g.x0, g.x1 = g.x0-0.05*span-1e-3, g.x1+0.05*span+1e-3
	}
	g.cells = make([][]rune, curveRows)
	for i := range g.cells {
		g.cells[i] = []rune(strings.Repeat(" ", columns))
	}
	return g
}

// roundEnds are the ends of a scale up: multiples of 5, or, where that is too
// coarse or too fine, of a round step that suits the span.
func roundEnds(low, high float64) (float64, float64) {
	step := 5.0
	for (high-low)/step > 40 {
		step *= 10
	}
	for high-low < step*0.6 && step > 1e-6 {
		step /= 10
	}
	low, high = math.Floor(low/step)*step, math.Ceil(high/step)*step
	if high == low {
		high += step
	}
	return low, high
}

// framed puts scales around the picture.
func (g *grid) framed(c doc.Curve) []string {
	labels := map[int]string{g.row(g.y0): short(g.y0), g.row(g.y1): short(g.y1)}
	if c.Threshold != nil {
		labels[g.row(c.Threshold.At)] = short(c.Threshold.At)
	}
	lines := titled(c, len(g.cells[0])+scaleWidth+2)
	for i, row := range g.cells {
		lines = append(lines, fmt.Sprintf("%*s |%s", scaleWidth, labels[i], strings.TrimRight(string(row), " ")))
	}
	columns := len(g.cells[0])
	lines = append(lines, strings.Repeat(" ", scaleWidth)+" +"+strings.Repeat("-", columns))
	lines = append(lines, strings.Repeat(" ", scaleWidth+2)+g.scale(columns)+" "+c.X.Unit)
	for _, sp := range openLines(g, c.Spans, columns) {
		lines = append(lines, strings.Repeat(" ", scaleWidth+2)+sp)
	}
	if c.Note != "" {
		lines = append(lines, strings.Repeat(" ", scaleWidth+2)+c.Note)
	}
	return lines
}

// scale is the line of figures below the picture: a round step apart, never touching.
func (g *grid) scale(columns int) string {
	line := []rune(strings.Repeat(" ", columns))
	free := 0
	for _, x := range g.places() {
		text := say.Tick(x, g.log)
		at := g.column(x) - len(text)/2
		if at < free || at+len(text) > columns {
			continue
		}
		copy(line[at:], []rune(text))
		free = at + len(text) + 1
	}
	return string(line)
}

// places are where figures stand along X.
func (g *grid) places() []float64 {
	if g.log {
		return say.LogTicks(math.Pow(10, g.x0), math.Pow(10, g.x1), 12)
	}
	step := math.Pow(10, math.Floor(math.Log10((g.x1-g.x0)/8)))
	for _, s := range []float64{1, 2, 5, 10} {
		if (g.x1-g.x0)/(s*step) <= 8 {
			step *= s
			break
		}
	}
	var all []float64
	for i := math.Ceil(g.x0 / step); i*step <= g.x1; i++ {
		all = append(all, i*step)
	}
	return all
}

// openLines draw spans below the axis, a line for each name.
func openLines(g *grid, all []doc.Span, columns int) []string {
	var names []string
	rows := map[string][]rune{}
	for _, s := range all {
		if rows[s.Name] == nil {
			rows[s.Name] = []rune(strings.Repeat(" ", columns))
			names = append(names, s.Name)
		}
		from, to := max(0, g.column(s.From)), min(columns-1, g.column(s.To))
		for i := from; i <= to; i++ {
			rows[s.Name][i] = '-'
		}
		if from <= to {
			rows[s.Name][from], rows[s.Name][to] = '[', ']'
		}
	}
	var lines []string
	for _, n := range names {
		lines = append(lines, string(rows[n])+" "+n)
	}
	return lines
}

// titled is the unit and name of the axis up, and what the picture holds.
func titled(c doc.Curve, width int) []string {
	lines := []string{fmt.Sprintf("%*s", scaleWidth, c.Y.Unit) + "  " + c.Y.Name}
	for _, part := range legend(c) {
		last := len(lines) - 1
		if utf8.RuneCountInString(lines[last])+3+utf8.RuneCountInString(part) > width+8 {
			lines, last = append(lines, strings.Repeat(" ", scaleWidth+1)), last+1
			part = strings.TrimLeft(part, " ")
			lines[last] += " " + part
			continue
		}
		lines[last] += "   " + part
	}
	return lines
}

func legend(c doc.Curve) []string {
	var parts []string
	crossed := false
	for i, t := range c.Traces {
		switch {
		case t.Name != "" && t.Bound:
			parts = append(parts, ". . "+t.Name)
		case t.Name != "":
			parts = append(parts, string(mark(i))+" "+t.Name)
		}
		crossed = crossed || t.Crossing != nil
	}
	if c.Threshold != nil {
		parts = append(parts, "- - "+c.Threshold.Label)
	}
	if crossed {
		parts = append(parts, "=X= crossing, 95 %")
	}
	if c.Limit != nil {
		parts = append(parts, ": "+c.Limit.Label)
	}
	return parts
}

// short is a round figure of a scale.
func short(v float64) string { return say.Significant(v, 6) }
