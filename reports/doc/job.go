package doc

import (
	"fmt"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
)

// roundNames are the rounds as people say them.
var roundNames = map[string]string{reports.AsFound: "As found", reports.AsLeft: "As left"}

// RoundName is a round as people say it; what is no round is a side of a
// comparison, and goes by its own name.
func RoundName(name string) string {
	if title, is := roundNames[name]; is {
		return title
	}
	return name
}

// Job is the document of a whole job: its sensitivities, or with details all of
// its tests, what the figures point to, then every test in a line and what changed.
func Job(r reports.Job, details bool) Document {
	d := Document{Title: "Job " + r.Facts.Job + ": " + r.Facts.Set}
	if r.Facts.Simulated != "" {
		d.Blocks = append(d.Blocks, Paragraph{r.Facts.Simulated})
	}
	for _, round := range r.Rounds {
		for _, t := range round.Tests {
			if !details && t.Result.Point == nil {
				continue
			}
			one := Test(t)
			if h, ok := one.Blocks[0].(Heading); ok {
				h.Text = RoundName(round.Name) + ": " + lowerFirst(joined(", ", h.Text, t.Name))
				one.Blocks[0] = h
			}
			d.Blocks = append(d.Blocks, one.Blocks...)
		}
	}
	for _, round := range r.Rounds {
		d.Blocks = append(d.Blocks, warnedRound(round)...)
		if !details {
			d.Blocks = append(d.Blocks, warnedTests(round)...)
		}
		d.Blocks = append(d.Blocks, hintsOf(round)...)
	}
	d.Blocks = append(d.Blocks, Heading{Text: "Answer"})
	d.Blocks = append(d.Blocks, summary(r, false)...)
	return d
}

// warnedRound are the warnings of a round as a whole.
func warnedRound(round reports.Round) []Block {
	var notes []Note
	for _, w := range round.Warnings {
		notes = append(notes, Note{Warning: true, Text: w.Text})
	}
	if notes == nil {
		return nil
	}
	return []Block{Heading{Text: RoundName(round.Name) + ": warnings", Level: 1}, Notes{notes}}
}

// warnedTests are the warnings of tests whose details are left out.
func warnedTests(round reports.Round) []Block {
	var notes []Note
	for _, t := range round.Tests {
		if t.Result.Point != nil {
			continue // they stand below its series
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
	return []Block{Heading{Text: RoundName(round.Name) + ": warnings of the other tests", Level: 1}, Notes{notes}}
}

// JobAnswer is the shortest answer of a job.
func JobAnswer(r reports.Job) Document { return Document{Blocks: summary(r, true)} }

// summary is the answers of all tests in both rounds, and the changes of
// sensitivities, below each other. Reasons stand below, each once. The quiet one marks
// what has warnings, which stand above the other.
func summary(r reports.Job, quiet bool) []Block {
	t := Table{Columns: []Column{{}, {}, {}}}
	var why reasons
	for _, round := range r.Rounds {
		label := RoundName(round.Name)
		for _, one := range round.Tests {
			a := TestAnswer(one)
			text := joined(": ", one.Name, why.of(one, a))
			if quiet {
				text = joined(" ", text, warned(warningsOf(one)))
			}
			row := []string{label, text}
			if a.Verdict != "" {
				row = append(row, strings.TrimSuffix(a.Verdict, " TO CALL"))
			}
			t.Rows = append(t.Rows, row)
			label = ""
		}
	}
	label := "Change"
	for i, c := range r.Changes {
		mark := ""
		if quiet {
			mark = markOf(r.Rounds, c.Kind, c.Test)
		}
		switch {
		case !c.Figure.OK():
			continue
		case c.Kind == job.KindSensitivity:
			t.Rows = append(t.Rows, []string{label, joined(" ", joined(": ", c.Test, change(&r.Changes[i])), mark)})
		case c.Significant && leads(r, c):
			t.Rows = append(t.Rows, []string{label, joined(", ", figureOf(c.Kind, c.Figure.Name), c.Test) + ": " + joined(" ", signed(c.Figure), mark)})
		default:
			continue
		}
		label = ""
	}
	blocks := []Block{t}
	if notes := append(why.notes, fromMemory(r)...); len(notes) > 0 {
		blocks = append(blocks, Notes{notes})
	}
	return blocks
}

// reasons are why figures were not given, each once.
type reasons struct{ notes []Note }

// of is the answer of a test, with a mark in the place of a reason.
func (w *reasons) of(t reports.Test, a Answer) string {
	if p := t.Result.Point; p != nil {
		if p.Status == analyze.Found || a.Reason == "" {
			return a.Parts[0]
		}
		return w.marked(a.Parts[0], a.Reason)
	}
	text, reason := a.Parts[0], t.Result.Why
	if reason == "" && len(t.Result.Figures) > 0 && !t.Result.Figures[0].OK() {
		reason = why(t.Result.Figures[0].Why)
		text = strings.TrimSuffix(text, ": "+reason)
	}
	if reason == "" {
		for _, j := range t.Judged {
			if !j.Figure.OK() && j.Verdict.Outcome == limit.Undecided {
				return w.marked(text, notGiven(t.Kind, j.Figure))
			}
		}
		return text
	}
	return w.marked(text, reason)
}

// marked is a text with the mark of its reason.
func (w *reasons) marked(text, reason string) string {
	for _, n := range w.notes {
		if n.Text == reason {
			return text + ", note " + n.Mark
		}
	}
	w.notes = append(w.notes, Note{Mark: fmt.Sprint(len(w.notes) + 1), Text: reason})
	return text + ", note " + w.notes[len(w.notes)-1].Mark
}

// fromMemory names the limits that nobody has checked against their source.
func fromMemory(r reports.Job) []Note {
	var names []string
	for _, v := range verdictsOf(r) {
		if text := v.Limit.Name + " " + LimitFigure(v.Limit); v.Limit.Standing == job.Memory && !slices.Contains(names, text) {
			names = append(names, text)
		}
	}
	if names == nil {
		return nil
	}
	return []Note{{Warning: true, Text: plural(len(names), "a limit was", "limits were") + " not checked against the document it is from; check before relying on it: " + strings.Join(names, "; ")}}
}

// verdictsOf are all verdicts of the newest round.
func verdictsOf(r reports.Job) []limit.Verdict {
	var all []limit.Verdict
	if n := r.Newest(); n != nil {
		for _, t := range n.Tests {
			for _, j := range t.Judged {
				all = append(all, j.Verdict)
			}
		}
	}
	return all
}

// leads tells whether a change is that of the first figure of its test.
func leads(r reports.Job, c reports.Change) bool {
	t := r.Newest().Find(c.Kind, c.Test)
	return t != nil && len(t.Result.Figures) > 0 && t.Result.Figures[0].Name == c.Figure.Name
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
	if t.Result.Point != nil {
		return pointDocument(t)
	}
	return Result(t)
}

// TestAnswer is the shortest answer of a test.
func TestAnswer(t reports.Test) Answer {
	if t.Result.Point != nil {
		return pointAnswer(t)
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
