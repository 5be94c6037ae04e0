package doc

import (
	"slices"

	"hisspoint/analyze"
)

// curvesOf are the pictures of a test: a picture for each name, with the lines
// of all rounds in it. Bounds are drawn once, from the newest round.
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
	c := Curve{Title: upperFirst(picture), Says: upperFirst(picture) + ". The figures stand in the tables."}
	newest := len(rounds) - 1
	for i, round := range rounds {
		style := styleOf(round.Name)
		for _, l := range round.Test.Result.Lines {
			if l.Picture != picture || l.Role != analyze.RoleCurve && i != newest || len(l.Points) < 2 {
				continue
			}
			c.X, c.Y = Axis{l.X.Name, l.X.Unit}, Axis{l.Y.Name, l.Y.Unit}
			c.LogX = c.LogX || l.LogX
			t := Trace{Name: l.Name, Style: style}
			switch {
			case l.Role != analyze.RoleCurve:
				t.Style = 3
			case round.Name != "":
				t.Name = joined(", ", lowerFirst(roundNames[round.Name]), l.Name)
				style += 2
			default:
				style++
			}
			for _, p := range l.Points {
				t.Points = append(t.Points, Dot(p))
			}
			c.Traces = append(c.Traces, t)
		}
	}
	return c
}
