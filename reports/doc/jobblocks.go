package doc

import (
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/budget"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
)

// AddedRow is a recording that was put in its place in a job.
type AddedRow struct {
	File, Test, Place string
	Tone              bool // a tone is due in it
	SINAD             analyze.Reading
}

// Added is the document of recordings that were put in their places.
func Added(rows []AddedRow) Document {
	t := Table{Columns: []Column{{}, {}, {}}}
	for _, r := range rows {
		sinad := ""
		switch {
		case r.Tone && r.SINAD.OK():
			sinad = "SINAD " + brief(r.SINAD)
		case r.Tone:
			sinad = why(r.SINAD.Why)
		}
		t.Rows = append(t.Rows, []string{r.File, joined(", ", r.Test, r.Place), sinad})
	}
	return Document{Blocks: []Block{t}}
}

// JobByEye are what no recording told: meter readings, checks, and what was
// left out.
func JobByEye(r reports.Job) []Block {
	var blocks []Block
	for _, round := range r.Rounds {
		t := Table{Columns: []Column{{}, {}, {}, {}}}
		for _, m := range round.ByEye {
			cells := []string{m.What, m.Value, "", ""}
			if m.Value == "" {
				cells[1] = "not read yet"
			}
			if m.Verdict != nil {
				cells[2], cells[3] = "limit "+m.Verdict.Limit.Typed, verdictWords[m.Verdict.Outcome].Word
			}
			if m.Verdict != nil && m.Verdict.Why != "" {
				cells[3] += ": " + m.Verdict.Why
			}
			t.Rows = append(t.Rows, cells)
		}
		for _, c := range round.Checks {
			t.Rows = append(t.Rows, []string{c.What, checkAnswer(c), c.Note, map[bool]string{true: "", false: "FAIL"}[c.Yes || c.Open]})
		}
		for _, n := range round.NotMeasured {
			t.Rows = append(t.Rows, []string{n.What, "not measured", n.Why, ""})
		}
		if len(t.Rows) > 0 {
			blocks = append(blocks, Heading{Text: RoundName(round.Name) + ": read by eye"}, t)
		}
	}
	return blocks
}

func checkAnswer(c job.Check) string {
	if c.Open {
		return "not answered yet"
	}
	return yesNo(c.Yes)
}

// JobVerdict is the verdict of the round that decides.
func JobVerdict(r reports.Job) []Block {
	n := r.Newest()
	if n == nil || n.Overall.Outcome == "" {
		return nil
	}
	word := verdictWords[n.Overall.Outcome]
	if n.Overall.Outcome == limit.Undecided {
		word.Word = "UNDECIDED" // it may be missing as well as close
	}
	return []Block{Answer{Parts: []string{"Verdict, " + strings.ToLower(RoundName(n.Name))}, Verdict: word.Word,
		Outcome: word.Outcome, Reason: strings.Join(n.Overall.Reasons, "; ")}}
}

// JobBudget is the uncertainty budget of each point.
func JobBudget(r reports.Job) []Block {
	var blocks []Block
	for _, round := range r.Rounds {
		for _, test := range round.Tests {
			if test.Result.Point == nil {
				blocks = append(blocks, resultBudgets(round.Name, test)...)
				continue
			}
			if b, ok := limit.BudgetOf(*test.Result, test.Result.Get(job.QuantitySensitivity)); ok {
				blocks = append(blocks, Heading{Text: RoundName(round.Name) + ": uncertainty budget of the " + test.Label()}, jobBudgetTable(b))
			}
		}
	}
	return blocks
}

// resultBudgets are the budgets of the judged figures of any other test, and of those
// that generator and pad have a part in.
func resultBudgets(round string, test reports.Test) []Block {
	var blocks []Block
	var figures []analyze.Reading
	for _, j := range test.Judged {
		figures = append(figures, j.Figure)
	}
	for _, f := range test.Result.Figures {
		if f.Common > 0 && !slices.ContainsFunc(figures, func(o analyze.Reading) bool { return o.Name == f.Name }) {
			figures = append(figures, f)
		}
	}
	for _, f := range figures {
		b, ok := limit.BudgetOf(*test.Result, f)
		if !ok {
			continue
		}
		t := jobBudgetTable(b)
		t.Columns[len(t.Columns)-1].Unit = f.Unit
		blocks = append(blocks, Heading{Text: RoundName(round) + ": uncertainty budget of " + figureOf(test.Kind, f.Name)}, t)
	}
	return blocks
}

func jobBudgetTable(b budget.Budget) Table {
	t := Table{Columns: []Column{{Head: "contribution"}, {Head: "type"}, {Head: "distribution"}, {Head: "stated", Align: Right}, {Head: "standard", Unit: "dB", Align: Right}}}
	for _, c := range b {
		most := 3
		if c.Type == budget.TypeA {
			most = 2 // it was measured
		}
		stated, standard := Significant(c.HalfWidth, most)+" "+c.Unit, Significant(c.Standard(), 2)
		if c.Unit == "" {
			stated += "dB"
		}
		switch {
		case c.Towards > 0:
			stated, standard = "up to +"+stated, ""
		case c.Towards < 0:
			stated, standard = "up to -"+stated, ""
		default:
			stated = "\u00b1" + stated
		}
		t.Rows = append(t.Rows, []string{c.Name, c.Type, c.Distribution, stated, standard})
	}
	t.Rows = append(t.Rows, []string{"combined", "", "", "", Significant(b.Combined(), 2)}, []string{"expanded, k = 1.96", "", "", "", Significant(b.Expanded(), 2)})
	up, down := b.Beyond()
	for _, side := range []struct {
		words string
		by    float64
	}{{"one-sided, to the upper end", up}, {"one-sided, to the lower end", down}} {
		if side.by > 0 {
			t.Rows = append(t.Rows, []string{side.words, "", "", "", Significant(side.by, 2)})
		}
	}
	return t
}
