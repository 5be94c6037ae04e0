package doc

import (
	"math"
	"slices"
	"strings"

	"hisspoint/analyze"
)

// curvesOf are the pictures of a test: a picture for each name, with the lines
// of all rounds in it. Bounds and marks are drawn once, from the newest round.
func curvesOf(rounds []resultRound) []Curve {
	var pictures []string
	for _, round := range rounds {
		for _, l := range round.Test.Result.Lines {
			if !slices.Contains(pictures, l.Picture) {
				pictures = append(pictures, l.Picture)
			}
		}
	}
	var all []Curve
	for _, p := range pictures {
		if c := curveOf(p, rounds); len(c.Traces) > 0 {
			all = append(all, c)
		}
	}
	return all
}

func curveOf(picture string, rounds []resultRound) Curve {
	c := Curve{Title: upperFirst(picture), LogX: true}
	for i, round := range rounds {
		newest := i == len(rounds)-1
		style := styleAt(round.Name, i)
		for _, l := range round.Test.Result.Lines {
			switch {
			case l.Picture != picture:
			case l.Role == analyze.RoleMark && newest:
				for _, p := range l.Points {
					c.Marks = append(c.Marks, Mark{p.X, p.Y, l.Name})
				}
			case l.Role == analyze.RoleMark, l.Role != analyze.RoleCurve && !newest, len(l.Points) < 2:
			case l.Role != analyze.RoleCurve:
				bound(&c, l)
			default:
				axes(&c, l)
				c.Traces = append(c.Traces, Trace{Name: joined(", ", lowerFirst(RoundName(round.Name)), l.Name), Style: style, Points: dotsOf(l)})
				style += 2
			}
		}
		if c.X.Unit == "s" {
			for _, e := range round.Test.Result.Events {
				c.Spans = append(c.Spans, Span{joined(", ", lowerFirst(RoundName(round.Name)), e.What), styleAt(round.Name, i), e.AtS, e.UntilS})
			}
		}
	}
	for _, t := range c.Traces {
		c.LogX = c.LogX && len(t.Points) > 0 && t.Points[0].X > 0
	}
	c.Says = sentence(c.Title) + " " + inWords(c) + "The figures stand in the tables and in report.json."
	return c
}

func axes(c *Curve, l analyze.Line) {
	c.X, c.Y, c.LogX = Axis{l.X.Name, l.X.Unit}, Axis{l.Y.Name, l.Y.Unit}, c.LogX && l.LogX
}

// bound adds a mask, whose two sides have one name, or an ideal.
func bound(c *Curve, l analyze.Line) {
	t := Trace{Name: l.Name, Bound: true, Style: 1, Points: dotsOf(l)}
	if l.Role != analyze.RoleIdeal {
		t.Style, t.Name = 0, strings.TrimSuffix(strings.TrimSuffix(l.Name, ", upper"), ", lower")
		for _, other := range c.Traces {
			if other.Bound && other.Name == t.Name {
				t.Name = ""
			}
		}
	}
	axes(c, l)
	c.Traces = append(c.Traces, t)
}

func dotsOf(l analyze.Line) []Dot {
	all := make([]Dot, len(l.Points))
	for i, p := range l.Points {
		all[i] = Dot(p)
	}
	return all
}

// inWords says where each trace runs, for those who cannot see it.
func inWords(c Curve) string {
	var all []string
	for _, t := range c.Traces {
		if t.Bound || len(t.Points) == 0 {
			continue
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, d := range t.Points {
			low, high = math.Min(low, d.Y), math.Max(high, d.Y)
		}
		first, last := t.Points[0].X, t.Points[len(t.Points)-1].X
		all = append(all, joined(": ", t.Name, c.Y.Name)+" between "+Significant(low, 3)+" and "+Significant(high, 3)+" "+c.Y.Unit+
			" from "+Significant(first, 4)+" to "+Significant(last, 4)+" "+c.X.Unit)
	}
	for _, s := range c.Spans {
		all = append(all, s.Name+" from "+fixed(s.From, 3)+" to "+fixed(s.To, 3)+" "+c.X.Unit)
	}
	for _, m := range c.Marks {
		all = append(all, m.Name+" at "+Significant(m.X, 4)+" "+c.X.Unit+", "+Significant(m.Y, 3)+" "+c.Y.Unit)
	}
	return sentence(strings.Join(all, "; ")) + " "
}

// Tick is a figure at an axis; along audio frequencies thousands are a k.
func Tick(v float64, thousands bool) string {
	if thousands && v >= 1000 {
		return Significant(v/1000, 6) + " k"
	}
	return Significant(v, 6)
}

// LogTicks are the round values of an axis of ratios from low to high: 1, 2, 3
// and 5 times the powers of ten, or only 1 and 3, or 1, as far as there is room
// for most of them.
func LogTicks(low, high float64, most int) []float64 {
	var all []float64
	for _, steps := range [][]float64{{1, 2, 3, 5}, {1, 3}, {1}} {
		all = nil
		for ten := math.Pow(10, math.Floor(math.Log10(low))); ten <= high; ten *= 10 {
			for _, s := range steps {
				if v := s * ten; v >= low*(1-1e-9) && v <= high*(1+1e-9) {
					all = append(all, v)
				}
			}
		}
		if len(all) <= most {
			break
		}
	}
	return all
}
