package sheet

import (
	"math"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// Round is one test as it was in a round of its job; the name is empty where it stands alone.
type Round struct {
	Name string
	Test reports.Test
}

// Style keeps one look for a round in all pictures; sides of a comparison are
// told apart by their place.
func Style(round string, place int) int {
	switch round {
	case reports.AsFound, "":
		return 0
	case reports.AsLeft:
		return 1
	}
	return place
}

// Curves are the pictures of a test: a picture for each name, with the lines
// of all rounds in it. Bounds and marks are drawn once, from the newest round.
func Curves(rounds []Round) []doc.Curve {
	var pictures []string
	for _, round := range rounds {
		for _, l := range round.Test.Result.Lines {
			if !slices.Contains(pictures, l.Picture) {
				pictures = append(pictures, l.Picture)
			}
		}
	}
	var all []doc.Curve
	for _, p := range pictures {
		if c := curveOf(p, rounds); len(c.Traces) > 0 {
			all = append(all, c)
		}
	}
	return all
}

func curveOf(picture string, rounds []Round) doc.Curve {
	c := doc.Curve{Title: say.UpperFirst(picture), LogX: true}
	for i, round := range rounds {
		newest := i == len(rounds)-1
		style := Style(round.Name, i)
		for _, l := range round.Test.Result.Lines {
			switch {
			case l.Picture != picture:
			case l.Role == analyze.RoleMark && newest:
				for _, p := range l.Points {
					c.Marks = append(c.Marks, doc.Mark{X: p.X, Y: p.Y, Name: l.Name})
				}
			case l.Role == analyze.RoleMark, l.Role != analyze.RoleCurve && !newest, len(l.Points) < 2:
			case l.Role != analyze.RoleCurve:
				bound(&c, l)
			default:
				axes(&c, l)
				c.Traces = append(c.Traces, doc.Trace{Name: say.Joined(", ", say.LowerFirst(say.Round(round.Name)),
					l.Name), Style: style, Points: dotsOf(l)})
				style += 2
			}
		}
		if c.X.Unit == "s" {
			for _, e := range round.Test.Result.Events {
				c.Spans = append(c.Spans, doc.Span{Name: say.Joined(", ", say.LowerFirst(say.Round(round.Name)),
					e.What), Style: Style(round.Name, i), From: e.AtS, To: e.UntilS})
			}
		}
	}
	for _, t := range c.Traces {
		c.LogX = c.LogX && len(t.Points) > 0 && t.Points[0].X > 0
	}
	c.Says = say.Sentence(c.Title) + " " + Finding(rounds) + inWords(c)
	return c
}

func axes(c *doc.Curve, l analyze.Line) {
	c.X, c.Y, c.LogX = doc.Axis{Name: l.X.Name, Unit: l.X.Unit}, doc.Axis{Name: l.Y.Name, Unit: l.Y.Unit}, c.LogX && l.LogX
}

// bound adds a mask, whose two sides have one name, or an ideal.
func bound(c *doc.Curve, l analyze.Line) {
	t := doc.Trace{Name: l.Name, Bound: true, Style: 1, Points: dotsOf(l)}
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

func dotsOf(l analyze.Line) []doc.Dot {
	all := make([]doc.Dot, len(l.Points))
	for i, p := range l.Points {
		all[i] = doc.Dot(p)
	}
	return all
}

// Finding is what each round found, with its verdict: what a picture shows, for those who
// cannot see it.
func Finding(rounds []Round) string {
	var all []string
	for _, r := range rounds {
		a := Answer(r.Test)
		found := say.Joined("; ", append(slices.Clone(a.Parts), a.Verdict)...)
		if res := r.Test.Result.Response; res != nil {
			found = say.Joined(", ", leanWords[res.Lean], found)
		}
		all = append(all, say.Joined(": ", say.LowerFirst(say.Round(r.Name)), found))
	}
	return say.Sentence(strings.Join(all, "; ")) + " "
}

// inWords says where each trace runs.
func inWords(c doc.Curve) string {
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
		all = append(all, say.Joined(": ", t.Name, c.Y.Name)+" between "+say.Significant(low,
			3)+" and "+say.Significant(high, 3)+" "+c.Y.Unit+
			" from "+say.Significant(first, 4)+" to "+say.Significant(last, 4)+" "+c.X.Unit)
	}
	for _, s := range c.Spans {
		all = append(all, s.Name+" from "+say.Fixed(s.From, 3)+" to "+say.Fixed(s.To, 3)+" "+c.X.Unit)
	}
	for _, m := range c.Marks {
		all = append(all, m.Name+" at "+say.Significant(m.X, 4)+" "+c.X.Unit+", "+say.Significant(m.Y, 3)+" "+c.Y.Unit)
	}
	return say.Sentence(strings.Join(all, "; ")) + " "
}
