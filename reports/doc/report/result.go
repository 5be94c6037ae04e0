package report

import (
	"fmt"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/doc/sheet"
)

// resultRounds is one test in the rounds that have it.
type resultRounds struct {
	Kind, Name string
	Rounds     []sheet.Round
	Changes    map[string]*reports.Change // by figure
}

func resultOf(r reports.Job, kind, name string) resultRounds {
	out := resultRounds{Kind: kind, Name: name, Changes: map[string]*reports.Change{}}
	for _, round := range r.Rounds {
		t := round.Find(kind, name)
		if t == nil {
			continue
		}
		out.Rounds = append(out.Rounds, sheet.Round{Name: round.Name, Test: *t})
		for _, f := range t.Result.Figures {
			if c := r.Change(kind, name, f.Name); c != nil {
				out.Changes[f.Name] = c
			}
		}
	}
	return out
}

// resultPart is what such a test puts into a report.
func resultPart(r resultRounds) part {
	newest := r.Rounds[len(r.Rounds)-1].Test
	p := part{name: say.Joined(", ", say.Kind(r.Kind), r.Name), takes: map[string][]take{}}
	for _, j := range newest.Judged {
		one := judgedOf(j.Verdict, r.label(j.Figure.Name), "")
		if j.Verdict.Outcome != limit.Pass {
			one.row[2] = say.Verdict(j)
		}
		p.verdicts = append(p.verdicts, one)
	}
	p.technical = resultPages(r)
	for _, round := range r.Rounds {
		p.takes[round.Name] = resultTakes(*round.Test.Result)
	}
	return p
}

// label is a figure with its test.
func (r resultRounds) label(figure string) string {
	return say.Joined(", ", say.FigureOf(r.Kind, figure), r.Name)
}

// figures are the names of the figures of all rounds, in their order.
func (r resultRounds) figures() []string {
	var names []string
	for i := len(r.Rounds) - 1; i >= 0; i-- {
		for _, f := range r.Rounds[i].Test.Result.Figures {
			if !slices.Contains(names, f.Name) {
				names = append(names, f.Name)
			}
		}
	}
	return names
}

// row is a figure with a cell a round and its change.
func (r resultRounds) row(figure string) []string {
	cells := []string{r.label(figure)}
	for _, round := range r.Rounds {
		cells = append(cells, cell(round.Test, figure))
	}
	return append(cells, changeCell(r.Changes[figure]))
}

func cell(t reports.Test, figure string) string {
	f := t.Result.Get(figure)
	if t.Result.Why != "" || !f.OK() && !f.Unreached {
		return "not given"
	}
	text := say.Brief(f)
	if (f.Unit == "V" || f.Unit == "W") && f.OK() && t.Result.Setup.Reading.VoltsPercent == 0 {
		text += ", calibration not stated"
	}
	return text
}

func changeCell(c *reports.Change) string {
	if c == nil || !c.Figure.OK() {
		return "-"
	}
	if c.Figure.HasInterval() && !c.Significant {
		return "no change"
	}
	n := say.Reading(c.Figure)
	sign := ""
	if c.Figure.Value > 0 {
		sign = "+"
	}
	text := sign + n.Value + " " + c.Figure.Unit
	if !c.Figure.HasInterval() {
		text += ", uncertainty not known"
	}
	return text
}

// resultPages are the technical pages of a test: its figures in all rounds,
// what to know of them, its curves, then what each recording gave.
func resultPages(r resultRounds) []doc.Block {
	blocks := []doc.Block{doc.Heading{Text: say.Joined(", ", say.UpperFirst(say.Kind(r.Kind)), r.Name),
		Note: r.each(func(t reports.Test) string { return sheet.Conditions(*t.Result) })}}
	if t := r.table(); len(t.Rows) > 0 {
		blocks = append(blocks, t)
	}
	if notes := r.notes(); len(notes) > 0 {
		blocks = append(blocks, doc.Notes{Items: notes})
	}
	for _, c := range sheet.Curves(r.Rounds) {
		blocks = append(blocks, c)
	}
	for _, round := range r.Rounds {
		if t := rowsTable(*round.Test.Result); len(t.Rows) > 1 && len(t.Columns) > 3 {
			blocks = append(blocks, doc.Heading{Text: "Recordings, " + say.LowerFirst(say.Round(round.Name)), Level: 1}, t)
		}
		if t := sheet.Events(round.Test.Result.Events); len(t.Rows) > 0 {
			blocks = append(blocks, doc.Heading{Text: "In time, " + say.LowerFirst(say.Round(round.Name)), Level: 1}, t)
		}
	}
	return blocks
}

// each says something of every round, once if it is the same.
func (r resultRounds) each(of func(reports.Test) string) string {
	var texts, named []string
	for _, round := range r.Rounds {
		text := of(round.Test)
		if !slices.Contains(texts, text) {
			texts = append(texts, text)
		}
		named = append(named, say.LowerFirst(say.Round(round.Name))+": "+text)
	}
	if len(texts) == 1 {
		return texts[0]
	}
	return strings.Join(named, ". ")
}

// table is every figure with its value in each round, change, limit and verdict.
func (r resultRounds) table() doc.Table {
	t := doc.Table{Columns: []doc.Column{{Head: "figure"}}}
	for _, round := range r.Rounds {
		t.Columns = append(t.Columns, doc.Column{Head: say.LowerFirst(say.Round(round.Name))})
	}
	t.Columns = append(t.Columns, doc.Column{Head: "change"}, doc.Column{Head: "limit"})
	for _, round := range r.Rounds {
		t.Columns = append(t.Columns, doc.Column{Head: "verdict, " + say.LowerFirst(say.Round(round.Name))})
	}
	for _, name := range r.figures() {
		row := r.row(name)
		row[0] = say.Figure(name)
		if row[len(row)-1] == "-" {
			row[len(row)-1] = ""
		}
		var bounds string
		var words []string
		for _, round := range r.Rounds {
			of, word := sheet.JudgedCells(round.Test.Judged, name)
			if of != "" {
				bounds = of
			}
			words = append(words, word)
		}
		t.Rows = append(t.Rows, append(append(row, bounds), words...))
	}
	return t.WithoutEmpty()
}

// notes are why figures are missing, then remarks and warnings; what holds for
// all rounds is said once.
func (r resultRounds) notes() []doc.Note {
	var all []doc.Note
	in := map[string][]string{}
	for _, round := range r.Rounds {
		for _, n := range append(missing(round.Test), sheet.Notes(*round.Test.Result)...) {
			if in[n.Text] == nil {
				all = append(all, n)
			}
			in[n.Text] = append(in[n.Text], say.LowerFirst(say.Round(round.Name)))
		}
	}
	for i, n := range all {
		if len(r.Rounds) > 1 && len(in[n.Text]) < len(r.Rounds) {
			all[i].Text = strings.Join(in[n.Text], ", ") + ": " + n.Text
		}
	}
	return all
}

// missing says why figures, or the whole test, are not given.
func missing(t reports.Test) []doc.Note {
	if t.Result.Why != "" {
		return []doc.Note{{Text: "not given: " + t.Result.Why}}
	}
	var all []doc.Note
	for _, f := range t.Result.Figures {
		if !f.OK() {
			all = append(all, doc.Note{Text: say.Figure(f.Name) + " is not given: " + say.Why(f.Why)})
		}
	}
	return all
}

// rowsTable is what each recording, or part of one, gave.
func rowsTable(r analyze.Result) doc.Table {
	t := doc.Table{Columns: []doc.Column{{Head: "recording"}, {Head: "from", Unit: "s", Align: doc.Decimal},
		{Head: "to", Unit: "s", Align: doc.Decimal}}}
	var names []string
	for _, u := range r.Rows {
		for _, w := range u.Worth {
			if !slices.Contains(names, w.Name) {
				names = append(names, w.Name)
				t.Columns = append(t.Columns, doc.Column{Head: say.Figure(w.Name), Unit: w.Unit, Align: doc.Decimal})
			}
		}
	}
	for _, u := range r.Rows {
		label := u.Label
		if label == "" {
			label = u.Measured.Origin.File
		}
		cells := []string{label, say.Significant(u.Measured.From, 5), say.Significant(u.Measured.To, 5)}
		for _, name := range names {
			cells = append(cells, worthOf(u, name))
		}
		t.Rows = append(t.Rows, cells)
	}
	return t
}

func worthOf(u analyze.Used, name string) string {
	for _, w := range u.Worth {
		if w.Name == name && w.OK() {
			n := say.Reading(w)
			return say.Joined(" ", n.Value, n.Spread())
		}
	}
	return "-"
}

// resultTakes are the recordings of a test.
func resultTakes(r analyze.Result) []take {
	var all []take
	for _, u := range r.Rows {
		level := u.Label
		if level == "" && u.Take.Typed != "" && u.Take.Level.Scale == unit.Absolute {
			level = say.Level(u.Take.Level, r.Setup.LevelKind)
		}
		all = append(all, takeOf(say.Kind(r.Setup.Kind), level, u.Measured))
	}
	return all
}

func takeOf(test, level string, m analyze.Measured) take {
	return take{test: test, level: level, file: say.Channel(m),
		format: fmt.Sprintf("%s kHz, %d bit", say.Significant(float64(m.Rate)/1000, 5), m.Origin.Bits), sha256: m.Origin.SHA256}
}
