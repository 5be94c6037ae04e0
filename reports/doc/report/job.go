package report

import (
	"fmt"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/doc/sheet"
	"hisspoint/reports/sentence"
)

// Job is the document of a whole job: its sensitivities, or with details all of
// its tests, likely causes, then every test in a line and what changed.
func Job(r reports.Job, details bool) doc.Document {
	d := doc.Document{Title: "Job " + r.Facts.Job + ": " + r.Facts.Set}
	if r.Facts.Simulated != "" {
		d.Blocks = append(d.Blocks, doc.Paragraph{Text: r.Facts.Simulated})
	}
	for _, round := range r.Rounds {
		for _, t := range round.Tests {
			if !details && t.Result.Point == nil {
				continue
			}
			one := sheet.Of(t)
			if h, ok := one.Blocks[0].(doc.Heading); ok {
				h.Text = say.Round(round.Name) + ": " + say.LowerFirst(say.Joined(", ", h.Text, t.Name))
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
	d.Blocks = append(d.Blocks, doc.Heading{Text: "Answer"})
	d.Blocks = append(d.Blocks, summary(r, false)...)
	return d
}

// warnedRound are the warnings of a round as a whole.
func warnedRound(round reports.Round) []doc.Block {
	var notes []doc.Note
	for _, w := range round.Warnings {
		notes = append(notes, doc.Note{Warning: true, Text: sentence.Of(w.Says)})
	}
	if notes == nil {
		return nil
	}
	return []doc.Block{doc.Heading{Text: say.Round(round.Name) + ": warnings", Level: 1}, doc.Notes{Items: notes}}
}

// warnedTests are the warnings of tests whose details are left out.
func warnedTests(round reports.Round) []doc.Block {
	var notes []doc.Note
	for _, t := range round.Tests {
		if t.Result.Point != nil {
			continue // they stand below its series
		}
		for _, n := range sheet.Notes(*t.Result) {
			if n.Warning {
				n.Text = t.Label() + ": " + n.Text
				notes = append(notes, n)
			}
		}
	}
	if notes == nil {
		return nil
	}
	return []doc.Block{doc.Heading{Text: say.Round(round.Name) + ": other warnings", Level: 1}, doc.Notes{Items: notes}}
}

// Answer is the shortest answer of a job.
func Answer(r reports.Job) doc.Document { return doc.Document{Blocks: summary(r, true)} }

// summary is the answers of all tests in both rounds, and the changes of
// sensitivities, below each other. Reasons stand below, each once. The quiet one marks
// what has warnings, which stand above the other.
func summary(r reports.Job, quiet bool) []doc.Block {
	t := doc.Table{Columns: []doc.Column{{}, {}, {}}}
	var why reasons
	for _, round := range r.Rounds {
		label := say.Round(round.Name)
		for _, one := range round.Tests {
			a := sheet.Answer(one)
			text := say.Joined(": ", one.Name, why.of(one, a))
			if quiet {
				text = say.Joined(" ", text, sheet.Warned(sheet.Warnings(one)))
			}
			row := []string{label, text}
			if a.Verdict != "" {
				row = append(row, strings.TrimSuffix(a.Verdict, " TO CALL")+sureOf(one, a.Verdict))
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
			t.Rows = append(t.Rows, []string{label, say.Joined(" ", say.Joined(": ", c.Test, change(&r.Changes[i])), mark)})
		case c.Significant && leads(r, c):
			t.Rows = append(t.Rows, []string{label, say.Joined(", ", say.FigureOf(c.Kind, c.Figure.Name), c.Test) +
				": " + say.Joined(" ", signed(c.Figure), mark)})
		default:
			continue
		}
		label = ""
	}
	blocks := []doc.Block{t}
	if notes := append(why.notes, fromMemory(r)...); len(notes) > 0 {
		blocks = append(blocks, doc.Notes{Items: notes})
	}
	return blocks
}

// sureOf says of a test that passes what is to be known of its limits.
func sureOf(t reports.Test, word string) string {
	if word != say.Verdicts[limit.Pass].Word {
		return ""
	}
	for _, j := range t.Judged {
		if text := say.Unsure(j.Verdict.Limit); text != "" {
			return text
		}
	}
	return ""
}

// reasons are why figures were not given, each once.
type reasons struct{ notes []doc.Note }

// of is the answer of a test, with a mark in the place of a reason.
func (w *reasons) of(t reports.Test, a doc.Answer) string {
	if p := t.Result.Point; p != nil {
		if p.Status == analyze.Found || a.Reason == "" {
			return a.Parts[0]
		}
		return w.marked(a.Parts[0], a.Reason)
	}
	text, reason := a.Parts[0], t.Result.Why
	if reason == "" && len(t.Result.Figures) > 0 && !t.Result.Figures[0].OK() {
		reason = say.Why(t.Result.Figures[0].Why)
		text = strings.TrimSuffix(text, ": "+reason)
	}
	if reason == "" {
		for _, j := range t.Judged {
			if !j.Figure.OK() && j.Verdict.Outcome == limit.Undecided {
				return w.marked(text, say.NotGiven(t.Kind, j.Figure))
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
	w.notes = append(w.notes, doc.Note{Mark: fmt.Sprint(len(w.notes) + 1), Text: reason})
	return text + ", note " + w.notes[len(w.notes)-1].Mark
}

// fromMemory names the limits that nobody has checked against their source.
func fromMemory(r reports.Job) []doc.Note {
	var names []string
	for _, v := range verdictsOf(r) {
		if text := v.Limit.Name + " " + say.LimitFigure(v.Limit); v.Limit.Standing == job.Memory && !slices.Contains(names, text) {
			names = append(names, text)
		}
	}
	if names == nil {
		return nil
	}
	return []doc.Note{{Warning: true, Text: say.Plural(len(names), "a limit was", "limits were") +
		" not checked against the document it is from; check before relying on it: " + strings.Join(names, "; ")}}
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
	text := say.Brief(r)
	if r.Value > 0 {
		text = "+" + text
	}
	return text
}

// change says by how much, and which way.
func change(c *reports.Change) string {
	s, way := c.Figure, "more"
	if s.Value < 0 {
		s.Value, s.Low, s.High, way = -s.Value, -s.High, -s.Low, "less"
	}
	n := say.Reading(s)
	text := fmt.Sprintf("%s dB %s sensitive", n.Value, way)
	if n.Spread() != "" {
		text += ", 95 %: " + n.Low + " to " + n.High + " dB"
	}
	return text
}

// markOf is the mark of a test in all of the rounds: that of a change.
func markOf(rounds []reports.Round, kind, name string) string {
	var all [][]capture.Warning
	for _, round := range rounds {
		if t := round.Find(kind, name); t != nil {
			all = append(all, sheet.Warnings(*t))
		}
	}
	return sheet.Warned(all...)
}
