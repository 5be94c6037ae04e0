package doc

import (
	"fmt"

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
		one := Sensitivity(round.Sensitivity)
		if h, ok := one.Blocks[0].(Heading); ok {
			h.Text = roundNames[round.Name] + ": " + lowerFirst(h.Text)
			one.Blocks[0] = h
		}
		d.Blocks = append(d.Blocks, one.Blocks...)
	}
	d.Blocks = append(d.Blocks, Heading{Text: "Answer"}, summary(r))
	return d
}

// JobAnswer is the shortest answer of a job.
func JobAnswer(r reports.Job) Document { return Document{Blocks: []Block{summary(r)}} }

// summary is the answers of all rounds and the change below each other.
func summary(r reports.Job) Table {
	t := Table{Columns: []Column{{}, {}, {}}}
	for _, round := range r.Rounds {
		a := SensitivityAnswer(round.Sensitivity)
		t.Rows = append(t.Rows, []string{roundNames[round.Name], a.Parts[0], a.Verdict})
	}
	if r.Change != nil && r.Change.Sensitivity.OK() {
		t.Rows = append(t.Rows, []string{"Change", change(r.Change), ""})
	}
	return t
}

// change says by how much, and which way.
func change(c *reports.Change) string {
	s, way := c.Sensitivity, "more"
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
