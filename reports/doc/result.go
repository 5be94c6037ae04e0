package doc

import (
	"regexp"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
)

// Result is the document of a test without a point: its figures
// with their limits, its curves, what happened when, and what to know of it.
func Result(t reports.Test) Document {
	r := *t.Result
	d := Document{Blocks: []Block{Heading{Text: upperFirst(kindTitle(t.Kind)), Note: resultConditions(r)}}}
	if f := figuresTable(t); len(f.Rows) > 0 {
		d.Blocks = append(d.Blocks, f)
	}
	if e := eventsTable(r.Events); len(e.Rows) > 0 {
		d.Blocks = append(d.Blocks, e)
	}
	for _, c := range curvesOf([]resultRound{{"", t}}) {
		d.Blocks = append(d.Blocks, c)
	}
	if notes := resultNotes(r); len(notes) > 0 {
		d.Blocks = append(d.Blocks, Notes{notes})
	}
	d.Blocks = append(d.Blocks, ResultAnswer(t))
	return d
}

func kindTitle(kind string) string {
	if k, ok := job.KindOf(kind); ok {
		return k.Title
	}
	return kind
}

func upperFirst(s string) string {
	if s != "" && 'a' <= s[0] && s[0] <= 'z' {
		return string(s[0]-0x20) + s[1:]
	}
	return s
}

// resultConditions says how a test was made.
func resultConditions(r analyze.Result) string {
	s := r.Setup
	parts := []string{}
	if s.LevelTyped != "" {
		parts = append(parts, "at "+unit.MicroSignInText(s.LevelTyped)+" on the generator")
	}
	parts = append(parts, "filter "+filterName(s.Reading.Filter))
	if s.Deviation != 0 {
		parts = append(parts, "deviation "+hertz(s.Deviation))
	}
	if s.Depth != 0 {
		parts = append(parts, "depth "+Significant(s.Depth, 3)+" %")
	}
	return strings.Join(parts, "; ")
}

// figuresTable is figure, value, interval, limit and verdict.
func figuresTable(t reports.Test) Table {
	table := Table{Columns: []Column{{Head: "figure"}, {Head: "value", Align: Decimal}, {Head: "unit"}, {Head: "95 %"}, {Head: "limit"}, {Head: "verdict"}}}
	for _, f := range t.Result.Figures {
		cells := append([]string{figureName(f.Name)}, figureCells(f)...)
		bounds, words := judgedCells(t.Judged, f.Name)
		table.Rows = append(table.Rows, append(cells, bounds, words))
	}
	return table.withoutEmpty()
}

func figureCells(f analyze.Reading) []string {
	if !f.OK() {
		return []string{"-", "", why(f.Why)}
	}
	n := OfReading(f)
	return []string{n.Value, f.Unit, n.Spread()}
}

// judgedCells are the limits of a figure and the verdicts on it.
func judgedCells(all []limit.Judged, name string) (bounds, words string) {
	var b, w []string
	for _, j := range all {
		if j.Figure.Name == name {
			b = append(b, boundWord(j.Verdict.Limit.Bound)+" "+LimitFigure(j.Verdict.Limit))
			w = append(w, wordOf(j))
		}
	}
	return strings.Join(b, "; "), strings.Join(w, "; ")
}

// withoutEmpty leaves out columns in which no row has anything.
func (t Table) withoutEmpty() Table {
	out := Table{Caption: t.Caption, Rows: make([][]string, len(t.Rows))}
	for c := range t.Columns {
		used := false
		for _, row := range t.Rows {
			used = used || c < len(row) && row[c] != ""
		}
		if !used {
			continue
		}
		out.Columns = append(out.Columns, t.Columns[c])
		for i, row := range t.Rows {
			cell := ""
			if c < len(row) {
				cell = row[c]
			}
			out.Rows[i] = append(out.Rows[i], cell)
		}
	}
	return out
}

func eventsTable(events []analyze.Event) Table {
	t := Table{Columns: []Column{{Head: "from", Unit: "s", Align: Decimal}, {Head: "to", Unit: "s", Align: Decimal}, {Head: "what"}, {Head: "readings"}}}
	for _, e := range events {
		var texts []string
		for _, r := range e.Readings {
			texts = append(texts, figureName(r.Name)+" "+brief(r))
		}
		from, to := fixed(e.AtS, 3), fixed(e.UntilS, 3)
		if e.NoStart {
			from = "-"
		}
		if e.NoEnd {
			to = "-"
		}
		t.Rows = append(t.Rows, []string{from, to, e.What, strings.Join(texts, "; ")})
	}
	return t.withoutEmpty()
}

// resultNotes are remarks and warnings, each once: what several stretches of a
// file say alike, with other figures, is joined.
func resultNotes(r analyze.Result) []Note {
	var notes []Note
	if r.Setup.Note != "" {
		notes = append(notes, Note{Text: "note: " + r.Setup.Note})
	}
	for _, s := range r.Says {
		notes = append(notes, Note{Text: s})
	}
	type place struct{ file, shape string }
	at, also, said := map[place]int{}, map[int][]string{}, map[string]bool{}
	add := func(file string, w capture.Warning) {
		if said[w.Text] || said[file+": "+w.Text] {
			return
		}
		said[joined(": ", file, w.Text)] = true
		p := place{file, figures.ReplaceAllString(w.Text, "#")}
		if i, has := at[p]; has {
			also[i] = append(also[i], differing(notes[i].Text, w.Text))
			return
		}
		at[p] = len(notes)
		notes = append(notes, Note{Warning: true, Text: joined(": ", file, w.Text)})
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
func ResultAnswer(t reports.Test) Answer {
	title := upperFirst(kindTitle(t.Kind))
	if t.Result.Why != "" {
		return Answer{Parts: []string{title + " not given"}, Reason: sentence(t.Result.Why)}
	}
	a := Answer{Parts: []string{title}}
	if t.Result.Answer != "" {
		a.Parts = []string{title + ": " + t.Result.Answer}
	} else if len(t.Result.Figures) > 0 {
		f := t.Result.Figures[0]
		a.Parts = []string{upperFirst(figureOf(t.Kind, f.Name)) + " " + brief(f)}
	}
	for _, j := range t.Judged {
		a.Parts = append(a.Parts, "limit "+boundWord(j.Verdict.Limit.Bound)+" "+limitText(j.Verdict.Limit, ""))
	}
	outcome, why := worst(t.Judged)
	if name := missingBeside(t); name != nil { // what is shown passes, and keeps its word
		a.Verdict, a.Outcome, a.Reason = verdictWords[limit.Pass].Word, Unclear, sentence(notGiven(t.Kind, *name))
		for _, j := range t.Judged {
			a.Reason = joined(" ", a.Reason, sentence(j.Verdict.Note))
		}
		return a
	}
	a.Verdict, a.Outcome, a.Reason = verdictWords[outcome].Word, verdictWords[outcome].Outcome, sentence(why)
	for _, j := range t.Judged {
		if j.Verdict.Outcome == outcome {
			a.Verdict = wordOf(j)
		}
		a.Reason = joined(" ", a.Reason, sentence(j.Verdict.Note))
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

// notGiven names a figure that is missing, and why.
func notGiven(kind string, f analyze.Reading) string {
	return figureOf(kind, f.Name) + " is not given: " + why(f.Why)
}

// figureOf is a figure with the test it belongs to, unless its name says so already.
func figureOf(kind, figure string) string {
	title, name := kindTitle(kind), figureName(figure)
	subject, _, _ := strings.Cut(title, " ")
	if strings.HasPrefix(name, subject+" ") || name == subject || strings.HasPrefix(title, name) {
		return name
	}
	return title + ", " + name
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
