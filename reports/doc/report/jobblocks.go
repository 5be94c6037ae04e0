package report

import (
	"math"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/budget"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/doc/sheet"
)

// AddedRow is a recording that was put in its place in a job.
type AddedRow struct {
	File, Test, Place string
	Tone              bool // a tone is due in it
	SINAD             analyze.Reading
}

// Added is the document of recordings that were put in their places.
func Added(rows []AddedRow) doc.Document {
	t := doc.Table{Columns: []doc.Column{{}, {}, {}}}
	for _, r := range rows {
		sinad := ""
		switch {
		case r.Tone && r.SINAD.OK():
			sinad = "SINAD " + say.Brief(r.SINAD)
		case r.Tone:
			sinad = say.Why(r.SINAD.Why)
		}
		t.Rows = append(t.Rows, []string{r.File, say.Joined(", ", r.Test, r.Place), sinad})
	}
	return doc.Document{Blocks: []doc.Block{t}}
}

// ByEye are what no recording told: meter readings, checks, and what was
// left out.
func ByEye(r reports.Job) []doc.Block {
	var blocks []doc.Block
	for _, round := range r.Rounds {
		t := doc.Table{Columns: []doc.Column{{}, {}, {}, {}}}
		for _, m := range round.ByEye {
			cells := []string{m.What, m.Value, "", ""}
			if m.Value == "" {
				cells[1] = "not read yet"
			}
			if m.Verdict != nil {
				cells[2], cells[3] = "limit "+m.Verdict.Limit.Typed, say.Sure(*m.Verdict)
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
			blocks = append(blocks, doc.Heading{Text: say.Round(round.Name) + ": read by eye"}, t)
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

// Verdict is the verdict of the round that decides.
func Verdict(r reports.Job) []doc.Block {
	n := r.Newest()
	if n == nil || n.Overall.Outcome == "" {
		return nil
	}
	word := say.Verdicts[n.Overall.Outcome]
	if n.Overall.Outcome == limit.Undecided {
		word.Word = "NOT FINISHED" // it may be missing as well as close
	}
	if sure := say.Unsourced(n.Overall.Facts); sure != "" && n.Overall.Outcome == limit.Pass {
		word.Word += " (" + sure + ")"
	}
	reasons := slices.Clone(n.Overall.Reasons)
	if left := leftOut(*n); left != "" {
		reasons = append(reasons, left)
	}
	return []doc.Block{doc.Answer{Parts: []string{"Verdict, " + strings.ToLower(say.Round(n.Name))}, Verdict: word.Word,
		Outcome: word.Outcome, Reason: strings.Join(reasons, "; ")}}
}

// Worse says first what became worse between the rounds, for whoever sits at the bench.
func Worse(r reports.Job, j *job.Job) []doc.Block {
	var all []string
	for _, c := range r.Worse() {
		by := c.Figure
		by.Value, by.Low, by.High = math.Abs(by.Value), math.Abs(by.Low), math.Abs(by.High)
		by.NoInterval = "it is not shown"
		all = append(all, say.FigureOf(c.Kind, c.Figure.Name)+" by "+say.Brief(by))
	}
	if all == nil {
		return nil
	}
	text := "as left is WORSE than as found: " + strings.Join(all, ", ") + ". Rounds swapped? Pad, cable or volume changed?"
	if j.Outcome != "" && j.Outcome != job.Worse {
		text += " The outcome says \"" + j.Outcome + "\"."
	}
	if j.Reason == "" {
		text += " The report is a draft until hisspoint job set reason \"...\" says why."
	}
	return []doc.Block{doc.Notes{Items: []doc.Note{{Warning: true, Text: text}}}}
}

// leftOut is what a round did not measure, and why; empty: nothing was left out.
func leftOut(r reports.Round) string {
	var all []string
	for _, n := range r.NotMeasured {
		all = append(all, strings.TrimSuffix(n.What+" ("+n.Why+")", " ()"))
	}
	if all == nil {
		return ""
	}
	return "not measured: " + strings.Join(all, ", ")
}

// Budget is the uncertainty budget of each point.
func Budget(r reports.Job) []doc.Block {
	var blocks []doc.Block
	for _, round := range r.Rounds {
		for _, test := range round.Tests {
			if test.Result.Point == nil {
				blocks = append(blocks, resultBudgets(round.Name, test)...)
				continue
			}
			if b, ok := limit.BudgetOf(*test.Result, test.Result.Get(job.QuantitySensitivity)); ok {
				blocks = append(blocks, doc.Heading{Text: say.Round(round.Name) + ": uncertainty budget of the " +
					test.Label()}, jobBudgetTable(b))
			}
		}
	}
	return blocks
}

// resultBudgets are the budgets of the judged figures of any other test, and of those
// that generator and pad have a part in.
func resultBudgets(round string, test reports.Test) []doc.Block {
	var blocks []doc.Block
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
		blocks = append(blocks, doc.Heading{Text: say.Round(round) + ": uncertainty budget of " + say.FigureOf(test.Kind, f.Name)}, t)
	}
	return blocks
}

func jobBudgetTable(b budget.Budget) doc.Table {
	t := doc.Table{Columns: []doc.Column{{Head: "contribution"}, {Head: "type"}, {Head: "distribution"},
		{Head: "stated", Align: doc.Right}, {Head: "standard", Unit: "dB", Align: doc.Right}}}
	for _, c := range b {
		most := 3
		if c.Type == budget.TypeA {
			most = 2 // it was measured
		}
		stated, standard := say.Significant(c.HalfWidth, most)+" "+c.Unit, say.Significant(c.Standard(), 2)
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
		if c.Assumed {
			stated += ", assumed"
		}
		t.Rows = append(t.Rows, []string{c.Name, c.Type, c.Distribution, stated, standard})
	}
	t.Rows = append(t.Rows, []string{"repeatability, k = 1.96", "", "", "", say.Significant(b.Repeatability(), 2)}, []string{"combined", "", "", "", say.Significant(b.Combined(), 2)},
		[]string{"uncertainty, k = 1.96", "", "", "", say.Significant(b.Expanded(), 2)})
	up, down := b.Beyond()
	for _, side := range []struct {
		words string
		by    float64
	}{{"one-sided, to the upper end", up}, {"one-sided, to the lower end", down}} {
		if side.by > 0 {
			t.Rows = append(t.Rows, []string{side.words, "", "", "", say.Significant(side.by, 2)})
		}
	}
	return t
}

// Short is the last lines of a job on a screen: the newest point, what changed, the
// verdict with what it is made of.
func Short(r reports.Job) []doc.Block {
	n := r.Newest()
	if n == nil {
		return nil
	}
	var blocks []doc.Block
	for _, t := range n.Tests {
		if t.Result.Point != nil {
			a := sheet.Answer(t)
			a.Reason = ""
			blocks = append(blocks, a)
			break
		}
	}
	t := doc.Table{Columns: make([]doc.Column, 2)}
	for i, c := range r.Changes {
		if c.Kind == job.KindSensitivity && c.Figure.OK() {
			t.Rows = append(t.Rows, []string{"Change", change(&r.Changes[i])})
			break
		}
	}
	if verdict := Verdict(r); len(verdict) > 0 {
		a := verdict[0].(doc.Answer)
		t.Rows = append(t.Rows, []string{a.Parts[0], say.Joined("; ", a.Verdict+meets(r), a.Reason)})
	}
	return append(blocks, t)
}

// meets counts what a verdict is made of: the limits that were kept, and those that the
// set failed as it came.
func meets(r reports.Job) string {
	passed, failed, before := 0, 0, 0
	for _, f := range r.Newest().Overall.Facts {
		switch f.Outcome {
		case limit.Pass:
			passed++
		case limit.Fail:
			failed++
		}
	}
	if len(r.Rounds) > 1 {
		for _, f := range r.Rounds[0].Overall.Facts {
			if f.Outcome == limit.Fail {
				before++
			}
		}
	}
	text := ""
	switch {
	case passed > 0 && failed == 0 && r.Newest().Overall.Outcome == limit.Pass:
		text = say.Plural(passed, ": meets its limit", ": meets all "+say.Fixed(float64(passed), 0)+" limits")
	case failed > 0:
		text = ": fails " + say.Fixed(float64(failed), 0) + " of " + say.Fixed(float64(passed+failed), 0) + " limits"
	}
	if text != "" && before > 0 {
		text += "; as found it failed " + say.Fixed(float64(before), 0)
	}
	return text
}
