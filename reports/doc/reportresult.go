package doc

import (
	"fmt"
	"slices"

	"hisspoint/analyze"
	"hisspoint/capture/unit"
	"hisspoint/reports"
)

// resultRounds is one test of any kind but sensitivity in the rounds that have it.
type resultRounds struct {
	Kind, Name string
	Rounds     []resultRound
	Changes    map[string]*reports.Change // by figure
}

type resultRound struct {
	Name string
	Test reports.Test
}

func resultOf(r reports.Job, kind, name string) resultRounds {
	out := resultRounds{Kind: kind, Name: name, Changes: map[string]*reports.Change{}}
	for _, round := range r.Rounds {
		t := round.Find(kind, name)
		if t == nil || t.Result == nil {
			continue
		}
		out.Rounds = append(out.Rounds, resultRound{round.Name, *t})
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
	p := part{name: joined(", ", kindTitle(r.Kind), r.Name), takes: map[string][]take{}}
	for _, j := range newest.Judged {
		v := j.Verdict
		p.verdicts = append(p.verdicts, judged{outcome: v.Outcome, why: v.Why,
			of: fmt.Sprintf("%s %s %s%s", p.name, boundPhrase(v.Limit.Bound), LimitFigure(v.Limit), bracketed(v.Limit.Source))})
	}
	names := r.figures()
	for _, name := range names {
		p.key = append(p.key, r.row(name, true))
	}
	if len(names) > 0 {
		p.brief = [][]string{r.row(names[0], false)}
	} else {
		p.brief = [][]string{r.refusals()}
	}
	p.technical = resultPages(r)
	for _, round := range r.Rounds {
		p.takes[round.Name] = resultTakes(*round.Test.Result)
	}
	return p
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

// in is the test of a round, nil if that round does not have it.
func (r resultRounds) in(round string) *reports.Test {
	for i := range r.Rounds {
		if r.Rounds[i].Name == round {
			return &r.Rounds[i].Test
		}
	}
	return nil
}

// row is a figure with a cell a round, then its change or else its verdict.
func (r resultRounds) row(figure string, withChange bool) []string {
	cells := []string{joined(", ", figureName(figure), r.Name)}
	for _, name := range roundOrder {
		t := r.in(name)
		switch {
		case t == nil:
			cells = append(cells, "")
		case t.Result.Why != "":
			cells = append(cells, "not given")
		default:
			cells = append(cells, brief(t.Result.Get(figure)))
		}
	}
	if withChange {
		return append(cells, changeCell(r.Changes[figure]))
	}
	outcome, _ := worst(r.Rounds[len(r.Rounds)-1].Test.Judged)
	return append(cells, verdictWords[outcome].word)
}

// refusals is the row of a test that gave no figure.
func (r resultRounds) refusals() []string {
	cells := []string{joined(", ", kindTitle(r.Kind), r.Name)}
	for _, name := range roundOrder {
		switch t := r.in(name); {
		case t == nil:
			cells = append(cells, "")
		case t.Result.Why != "":
			cells = append(cells, "not given: "+t.Result.Why)
		default:
			cells = append(cells, "see the technical record")
		}
	}
	return append(cells, "")
}

// roundOrder is the order of the rounds' cells.
var roundOrder = []string{reports.AsFound, reports.AsLeft}

func changeCell(c *reports.Change) string {
	if c == nil || !c.Figure.OK() {
		return "-"
	}
	n := OfReading(c.Figure)
	sign := ""
	if c.Figure.Value > 0 {
		sign = "+"
	}
	return joined(", ", sign+n.Value+" "+c.Figure.Unit, beyondUncertainty(c))
}

// briefTable is the customer's table of everything beside sensitivity.
func briefTable(r reports.Job, parts []part) Table {
	t := Table{Columns: append(bothColumns("also measured"), Column{Head: "verdict"})}
	for _, p := range parts {
		t.Rows = append(t.Rows, p.brief...)
	}
	if len(t.Rows) == 0 {
		return Table{}
	}
	return keepRounds(t, r)
}

func bothColumns(first string) []Column {
	columns := []Column{{Head: first}}
	for _, name := range roundOrder {
		columns = append(columns, Column{Head: lowerFirst(roundNames[name])})
	}
	return columns
}

// keepRounds leaves out the columns of rounds that the job does not have; they
// are the second and third.
func keepRounds(t Table, r reports.Job) Table {
	for i := len(roundOrder) - 1; i >= 0; i-- {
		if slices.ContainsFunc(r.Rounds, func(x reports.Round) bool { return x.Name == roundOrder[i] }) {
			continue
		}
		t.Columns = slices.Delete(slices.Clone(t.Columns), i+1, i+2)
		for k := range t.Rows {
			if len(t.Rows[k]) > i+1 {
				t.Rows[k] = slices.Delete(slices.Clone(t.Rows[k]), i+1, i+2)
			}
		}
	}
	return t
}

// resultPages are the technical pages of a test.
func resultPages(r resultRounds) []Block {
	blocks := []Block{Heading{Text: joined(", ", upperFirst(kindTitle(r.Kind)), r.Name)}}
	for _, round := range r.Rounds {
		note := resultConditions(*round.Test.Result)
		blocks = append(blocks, Heading{Text: roundNames[round.Name], Note: note, Level: 1})
		if t := figuresTable(round.Test); len(t.Rows) > 0 {
			blocks = append(blocks, t)
		}
		if t := rowsTable(*round.Test.Result); len(t.Rows) > 1 {
			blocks = append(blocks, t)
		}
		if t := eventsTable(round.Test.Result.Events); len(t.Rows) > 0 {
			blocks = append(blocks, t)
		}
		if w := round.Test.Result.Why; w != "" {
			blocks = append(blocks, Paragraph{"Not given: " + w + "."})
		}
		if notes := resultNotes(*round.Test.Result); len(notes) > 0 {
			blocks = append(blocks, Notes{notes})
		}
	}
	for _, c := range curvesOf(r.Rounds) {
		blocks = append(blocks, c)
	}
	for _, j := range r.Rounds[len(r.Rounds)-1].Test.Judged {
		blocks = append(blocks, Heading{Text: "Limit: " + j.Verdict.Limit.Name, Level: 1}, limitTable(j.Verdict.Limit, j.Verdict.Rule))
	}
	return blocks
}

// rowsTable is what each recording, or part of one, gave.
func rowsTable(r analyze.Result) Table {
	t := Table{Columns: []Column{{Head: "recording"}, {Head: "from", Unit: "s", Align: Decimal}, {Head: "to", Unit: "s", Align: Decimal}}}
	var names []string
	for _, u := range r.Rows {
		for _, w := range u.Worth {
			if !slices.Contains(names, w.Name) {
				names = append(names, w.Name)
				t.Columns = append(t.Columns, Column{Head: figureName(w.Name), Unit: w.Unit, Align: Decimal})
			}
		}
	}
	for _, u := range r.Rows {
		label := u.Label
		if label == "" {
			label = u.Measured.Origin.File
		}
		cells := []string{label, Significant(u.Measured.From, 5), Significant(u.Measured.To, 5)}
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
			n := OfReading(w)
			return joined(" ", n.Value, n.Spread())
		}
	}
	return "-"
}

// resultTakes are the recordings of a test.
func resultTakes(r analyze.Result) []take {
	var all []take
	for _, u := range r.Rows {
		m := u.Measured
		level := u.Label
		if level == "" && u.Take.Typed != "" && u.Take.Level.Scale == unit.Absolute {
			level = SetLevel(u.Take.Level, r.Setup.LevelKind)
		}
		all = append(all, take{level: orDash(level), file: channelName(m), used: Significant(m.From, 5) + " to " + Significant(m.To, 5) + " s",
			format: fmt.Sprintf("%s kHz, %d bit", Significant(float64(m.Rate)/1000, 5), m.Origin.Bits), sha256: m.Origin.SHA256})
	}
	return all
}
