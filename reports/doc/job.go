package doc

import (
	"fmt"

	"hisspoint/capture/job"
	"hisspoint/reports"
)

// roundNames are the rounds as people say them.
var roundNames = map[string]string{reports.AsFound: "As found", reports.AsLeft: "As left"}

// Job is the document of a whole job: its rounds, then what changed.
func Job(r reports.Job) Document {
	d := Document{Title: "Job " + r.Facts.Job + ": " + r.Facts.Set}
	if r.Facts.Simulated != "" {
		d.Blocks = append(d.Blocks, Paragraph{r.Facts.Simulated})
	}
	for _, round := range r.Rounds {
		for _, t := range round.Tests {
			one := Test(t)
			if h, ok := one.Blocks[0].(Heading); ok {
				h.Text = roundNames[round.Name] + ": " + lowerFirst(joined(", ", h.Text, t.Name))
				one.Blocks[0] = h
			}
			d.Blocks = append(d.Blocks, one.Blocks...)
		}
	}
	if n := r.Newest(); n != nil {
		d.Blocks = append(d.Blocks, hintsOf(*n)...)
	}
	d.Blocks = append(d.Blocks, Heading{Text: "Answer"}, summary(r))
	return d
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
	for i, c := range r.Changes {
		if c.Kind == job.KindSensitivity && c.Figure.OK() {
			t.Rows = append(t.Rows, []string{"Change", joined(": ", c.Test, change(&r.Changes[i])), ""})
		}
	}
	return t
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
