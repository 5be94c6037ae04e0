package doc

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/reports"
)

// roundNames are the rounds as people say them.
var roundNames = map[string]string{reports.AsFound: "As found", reports.AsLeft: "As left"}

// Job is the document of a whole job: its sensitivities, or with details all of
// its tests, what the figures point to, then every test in a line and what changed.
func Job(r reports.Job, details bool) Document {
	d := Document{Title: "Job " + r.Facts.Job + ": " + r.Facts.Set}
	if r.Facts.Simulated != "" {
		d.Blocks = append(d.Blocks, Paragraph{r.Facts.Simulated})
	}
	for _, round := range r.Rounds {
		for _, t := range round.Tests {
			if !details && t.Sensitivity == nil {
				continue
			}
			one := Test(t)
			if h, ok := one.Blocks[0].(Heading); ok {
				h.Text = roundNames[round.Name] + ": " + lowerFirst(joined(", ", h.Text, t.Name))
				one.Blocks[0] = h
			}
			d.Blocks = append(d.Blocks, one.Blocks...)
		}
	}
	for _, round := range r.Rounds {
		if !details {
			d.Blocks = append(d.Blocks, warnedTests(round)...)
		}
		d.Blocks = append(d.Blocks, hintsOf(round)...)
	}
	d.Blocks = append(d.Blocks, Heading{Text: "Answer"}, summary(r))
	return d
}

// warnedTests are the warnings of tests whose details are left out.
func warnedTests(round reports.Round) []Block {
	var notes []Note
	for _, t := range round.Tests {
		if t.Result == nil {
			continue
		}
		for _, n := range resultNotes(*t.Result) {
			if n.Warning {
				n.Text = t.Label() + ": " + n.Text
				notes = append(notes, n)
			}
		}
	}
	if notes == nil {
		return nil
	}
	return []Block{Heading{Text: roundNames[round.Name] + ": warnings of the other tests", Level: 1}, Notes{notes}}
}

// JobAnswer is the shortest answer of a job.
func JobAnswer(r reports.Job) Document { return Document{Blocks: []Block{summary(r)}} }

// summary is the answers of all tests in both rounds, and the changes of
// sensitivities, below each other.
func summary(r reports.Job) Table {
	t := Table{Columns: []Column{{}, {}, {}}}
	for _, round := range r.Rounds {
		label := roundNames[round.Name]
		for _, one := range round.Tests {
			a := TestAnswer(one)
			t.Rows = append(t.Rows, []string{label, joined(": ", one.Name, a.Parts[0]), a.Verdict})
			label = ""
		}
	}
	label := "Change"
	for i, c := range r.Changes {
		switch {
		case !c.Figure.OK():
			continue
		case c.Kind == job.KindSensitivity:
			t.Rows = append(t.Rows, []string{label, joined(": ", c.Test, change(&r.Changes[i])), ""})
		case c.Significant && leads(r, c):
			t.Rows = append(t.Rows, []string{label, joined(", ", figureOf(c.Kind, c.Figure.Name), c.Test) + ": " + signed(c.Figure), ""})
		default:
			continue
		}
		label = ""
	}
	return t
}

// leads tells whether a change is that of the first figure of its test.
func leads(r reports.Job, c reports.Change) bool {
	t := r.Newest().Find(c.Kind, c.Test)
	return t != nil && t.Result != nil && len(t.Result.Figures) > 0 && t.Result.Figures[0].Name == c.Figure.Name
}

// signed is a change with its sign and interval.
func signed(r analyze.Reading) string {
	text := brief(r)
	if r.Value > 0 {
		text = "+" + text
	}
	return text
}

// Test is the document of one test of any kind.
func Test(t reports.Test) Document {
	if t.Sensitivity != nil {
		return Sensitivity(*t.Sensitivity)
	}
	return Result(t)
}

// TestAnswer is the shortest answer of a test.
func TestAnswer(t reports.Test) Answer {
	if t.Sensitivity != nil {
		return SensitivityAnswer(*t.Sensitivity)
	}
	return ResultAnswer(t)
}

// change says by how much, and which way.
func change(c *reports.Change) string {
	s, way := c.Figure, "more"
	if s.Value < 0 {
		s.Value, s.Low, s.High, way = -s.Value, -s.High, -s.Low, "less"
	}
	n := OfReading(s)
	text := fmt.Sprintf("%s dB %s sensitive", n.Value, way)
	if n.Spread() != "" {
		text += ", 95 %: " + n.Low + " to " + n.High + " dB"
	}
	return text
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return string(s[0]|0x20) + s[1:]
}
