package sheet

import (
	"regexp"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/sentence"
)

// ofResult is the document of a test without a point: its figures
// with their limits, its curves, what happened when, and what to know of it.
func ofResult(t reports.Test) doc.Document {
	r := *t.Result
	d := doc.Document{Blocks: []doc.Block{doc.Heading{Text: say.UpperFirst(say.Kind(t.Kind)), Note: Conditions(r)}}}
	if f := figuresTable(t); len(f.Rows) > 0 {
		d.Blocks = append(d.Blocks, f)
	}
	if e := Events(r.Events); len(e.Rows) > 0 {
		d.Blocks = append(d.Blocks, e)
	}
	for _, c := range Curves([]Round{{"", t}}) {
		d.Blocks = append(d.Blocks, c)
	}
	if notes := Notes(r); len(notes) > 0 {
		d.Blocks = append(d.Blocks, doc.Notes{Items: notes})
	}
	d.Blocks = append(d.Blocks, ResultAnswer(t))
	return d
}

// Conditions says how a test was made.
func Conditions(r analyze.Result) string {
	s := r.Setup
	parts := []string{}
	if s.LevelTyped != "" {
		parts = append(parts, "at "+unit.MicroSignInText(s.LevelTyped)+" on the generator")
	}
	filter := say.Filter(s.Reading.Filter)
	if len(r.Rows) > 0 { // which may be another than was asked for
		filter = say.FilterAt(r.Rows[0].Measured.Filter, r.Rows[0].Measured.Rate)
	}
	parts = append(parts, "filter "+filter)
	if s.Deviation != 0 {
		parts = append(parts, "deviation "+say.Hertz(s.Deviation))
	}
	if s.Depth != 0 {
		parts = append(parts, "depth "+say.Significant(s.Depth, 3)+" %")
	}
	return strings.Join(parts, "; ")
}

// figuresTable is figure, value, interval, limit and verdict.
func figuresTable(t reports.Test) doc.Table {
	table := doc.Table{Columns: []doc.Column{{Head: "figure"}, {Head: "value", Align: doc.Decimal}, {Head: "unit"},
		{Head: "95 %"}, {Head: "limit"}, {Head: "verdict"}}}
	for _, f := range t.Result.Figures {
		cells := append([]string{say.Figure(f.Name)}, figureCells(f)...)
		bounds, words := JudgedCells(t.Judged, f.Name)
		table.Rows = append(table.Rows, append(cells, bounds, words))
	}
	return table.WithoutEmpty()
}

func figureCells(f analyze.Reading) []string {
	if f.Unreached {
		return []string{"-", "", say.AtLeast(f)}
	}
	if !f.OK() {
		return []string{"-", "", say.Why(f.Why)}
	}
	n := say.Reading(f)
	return []string{n.Value, f.Unit, n.Spread()}
}

// JudgedCells are the limits of a figure and the verdicts on it.
func JudgedCells(all []limit.Judged, name string) (bounds, words string) {
	var b, w []string
	for _, j := range all {
		if j.Figure.Name == name {
			b = append(b, say.Bound(j.Verdict.Limit.Bound)+" "+say.LimitFigure(j.Verdict.Limit))
			w = append(w, say.Verdict(j))
		}
	}
	return strings.Join(b, "; "), strings.Join(w, "; ")
}

// Events is a line for each thing that happened in a recording, with its readings.
func Events(events []analyze.Event) doc.Table {
	t := doc.Table{Columns: []doc.Column{{Head: "from", Unit: "s", Align: doc.Decimal},
		{Head: "to", Unit: "s", Align: doc.Decimal}, {Head: "what"}, {Head: "readings"}}}
	for _, e := range events {
		var texts []string
		for _, r := range e.Readings {
			texts = append(texts, say.Figure(r.Name)+" "+say.Brief(r))
		}
		from, to := say.Fixed(e.AtS, 3), say.Fixed(e.UntilS, 3)
		if e.NoStart {
			from = "-"
		}
		if e.NoEnd {
			to = "-"
		}
		t.Rows = append(t.Rows, []string{from, to, e.What, strings.Join(texts, "; ")})
	}
	return t.WithoutEmpty()
}

// Notes are remarks and warnings, each once: what several stretches of a
// file say alike, with other figures, is joined.
func Notes(r analyze.Result) []doc.Note {
	var notes []doc.Note
	if r.Setup.Note != "" {
		notes = append(notes, doc.Note{Text: "note: " + r.Setup.Note})
	}
	for _, s := range r.Says {
		notes = append(notes, doc.Note{Text: sentence.Of(s)})
	}
	type place struct{ file, shape string }
	at, also, said := map[place]int{}, map[int][]string{}, map[string]bool{}
	add := func(file string, w capture.Warning) {
		text := sentence.Of(w.Says)
		if said[text] || said[file+": "+text] {
			return
		}
		said[say.Joined(": ", file, text)] = true
		p := place{file, figures.ReplaceAllString(text, "#")}
		if i, has := at[p]; has {
			also[i] = append(also[i], differing(notes[i].Text, text))
			return
		}
		at[p] = len(notes)
		notes = append(notes, doc.Note{Warning: true, Text: say.Joined(": ", file, text)})
	}
	for _, w := range r.Warnings {
		add("", w)
	}
	for _, u := range r.Rows {
		for _, w := range u.Measured.Warnings {
			add(u.Measured.Origin.File, w)
		}
	}
	for i, more := range also {
		notes[i].Text += " (also " + strings.Join(more, "; ") + ")"
	}
	return notes
}

// figures of a warning, with the unit behind them.
var figures = regexp.MustCompile(`[+-]?[0-9]+(\.[0-9]+)?( (dBFS|dB|s|Hz|%))?`)

// differing are the figures of the second text that the first does not have.
func differing(a, b string) string {
	x := figures.FindAllString(a, -1)
	var all []string
	for _, y := range figures.FindAllString(b, -1) {
		if !slices.Contains(x, y) {
			all = append(all, y)
		}
	}
	return strings.Join(all, " at ")
}

// ResultAnswer is the test in a line: its first figure, or why there is none.
func ResultAnswer(t reports.Test) doc.Answer {
	title := say.UpperFirst(say.Kind(t.Kind))
	if t.Result.Why != "" {
		return doc.Answer{Parts: []string{title + " not given"}, Reason: say.Sentence(t.Result.Why)}
	}
	a := doc.Answer{Parts: []string{title}}
	if t.Result.Answer != "" {
		a.Parts = []string{title + ": " + t.Result.Answer}
	} else if len(t.Result.Figures) > 0 {
		f := t.Result.Figures[0]
		a.Parts = []string{say.UpperFirst(say.FigureOf(t.Kind, f.Name)) + " " + say.Brief(f)}
	}
	for _, j := range t.Judged {
		a.Parts = append(a.Parts, "limit "+say.Bound(j.Verdict.Limit.Bound)+" "+say.Limit(j.Verdict.Limit, ""))
	}
	outcome, why := worst(t.Judged)
	if name := missingBeside(t); name != nil { // what is shown passes, and keeps its word
		a.Verdict, a.Outcome, a.Reason = say.Verdicts[limit.Pass].Word, doc.Unclear, say.Sentence(say.NotGiven(t.Kind, *name))
		for _, j := range t.Judged {
			a.Reason = say.Joined(" ", a.Reason, say.Sentence(j.Verdict.Note), say.Sentence(say.Assumed(j.Verdict)))
		}
		return a
	}
	a.Verdict, a.Outcome, a.Reason = say.Verdicts[outcome].Word, say.Verdicts[outcome].Outcome, say.Sentence(why)
	for _, j := range t.Judged {
		if j.Verdict.Outcome == outcome {
			a.Verdict = say.Verdict(j)
		}
		a.Reason = say.Joined(" ", a.Reason, say.Sentence(j.Verdict.Note), say.Sentence(say.Assumed(j.Verdict)))
	}
	return a
}

// missingBeside is the judged figure that is not given where the first figure
// and every other one that is given pass; nil: there is none.
func missingBeside(t reports.Test) *analyze.Reading {
	var missing *analyze.Reading
	passes := false
	for i, j := range t.Judged {
		switch {
		case !j.Figure.OK() && j.Verdict.Outcome == limit.Undecided:
			missing = &t.Judged[i].Figure
		case j.Verdict.Outcome != limit.Pass:
			return nil
		case j.Figure.Name == t.Result.Figures[0].Name:
			passes = true
		}
	}
	if !passes {
		return nil
	}
	return missing
}

// worst is the outcome that decides a test: a fail, or else what is open.
func worst(all []limit.Judged) (outcome, why string) {
	rank := map[string]int{"": 0, limit.Pass: 1, limit.NotJudged: 2, limit.Undecided: 3, limit.Fail: 4}
	for _, j := range all {
		if rank[j.Verdict.Outcome] > rank[outcome] {
			outcome, why = j.Verdict.Outcome, j.Verdict.Why
		}
	}
	return outcome, why
}
