package text

import (
	"fmt"
	"math"
	"strings"

	"hisspoint/reports/doc"
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
}

func (g *grid) column(x float64) int {
	return int(math.Round((x - g.x0) / (g.x1 - g.x0) * float64(len(g.cells[0])-1)))
}

func (g *grid) row(y float64) int {
	return len(g.cells) - 1 - int(math.Round((y-g.y0)/(g.y1-g.y0)*float64(len(g.cells)-1)))
}

func (g *grid) put(row, column int, r rune) {
	if row >= 0 && row < len(g.cells) && column >= 0 && column < len(g.cells[0]) {
		g.cells[row][column] = r
	}
}

// drawCurve draws points (o), their intervals (|), the threshold (dashes), a
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
	if c.Limit != nil && c.Limit.At >= g.x0 && c.Limit.At <= g.x1 {
		for i := range g.cells {
			g.put(i, g.column(c.Limit.At), ':')
		}
	}
	for i, t := range c.Traces {
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
	g := &grid{x0: math.Inf(1), x1: math.Inf(-1), y0: math.Inf(1), y1: math.Inf(-1)}
	for _, t := range c.Traces {
		for _, p := range t.Points {
			g.x0, g.x1 = math.Min(g.x0, p.X), math.Max(g.x1, p.X)
			g.y0, g.y1 = math.Min(g.y0, p.Y), math.Max(g.y1, p.Y)
		}
	}
	if c.Threshold != nil {
		g.y0, g.y1 = math.Min(g.y0, c.Threshold.At), math.Max(g.y1, c.Threshold.At)
	}
	g.y0, g.y1 = math.Floor(g.y0/5)*5, math.Ceil(g.y1/5)*5
	if g.y1 == g.y0 {
		g.y1 += 5
	}
	g.x0, g.x1 = math.Floor(g.x0-0.5), math.Ceil(g.x1+0.5)
	g.cells = make([][]rune, curveRows)
	for i := range g.cells {
		g.cells[i] = []rune(strings.Repeat(" ", columns))
	}
	return g
}

// framed puts scales around the picture.
func (g *grid) framed(c doc.Curve) []string {
	labels := map[int]string{g.row(g.y0): short(g.y0), g.row(g.y1): short(g.y1)}
	if c.Threshold != nil {
		labels[g.row(c.Threshold.At)] = short(c.Threshold.At)
	}
	lines := []string{fmt.Sprintf("%*s", scaleWidth, c.Y.Unit) + "  " + c.Y.Name + legend(c)}
	for i, row := range g.cells {
		lines = append(lines, fmt.Sprintf("%*s |%s", scaleWidth, labels[i], strings.TrimRight(string(row), " ")))
	}
	columns := len(g.cells[0])
	lines = append(lines, strings.Repeat(" ", scaleWidth)+" +"+strings.Repeat("-", columns))
	lines = append(lines, strings.Repeat(" ", scaleWidth+2)+g.scale(columns)+" "+c.X.Unit)
	if c.Note != "" {
		lines = append(lines, strings.Repeat(" ", scaleWidth+2)+c.Note)
	}
	return lines
}

// scale is the line of figures below the picture: a round step apart, never touching.
func (g *grid) scale(columns int) string {
	step := 1.0
	for _, s := range []float64{1, 2, 5, 10, 20, 50, 100} {
		step = s
		if (g.x1-g.x0)/s <= 8 {
			break
		}
	}
	line := []rune(strings.Repeat(" ", columns))
	free := 0
	for x := math.Ceil(g.x0/step) * step; x <= g.x1; x += step {
		text := short(x)
		at := g.column(x) - len(text)/2
		if at < free || at+len(text) > columns {
			continue
		}
		copy(line[at:], []rune(text))
		free = at + len(text) + 1
	}
	return string(line)
}

func legend(c doc.Curve) string {
	var parts []string
	crossed := false
	for i, t := range c.Traces {
		if t.Name != "" {
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
	if len(parts) == 0 {
		return ""
	}
	return "   " + strings.Join(parts, "   ")
}

// short is a round figure of a scale.
func short(v float64) string { return doc.Significant(v, 6) }
