package main

import (
	"strings"

	"hisspoint/analyze/limit"
	"hisspoint/reports"
	"hisspoint/reports/doc"
)

var (
	roundWords   = map[string]string{reports.AsFound: "As found", reports.AsLeft: "As left"}
	outcomeWords = map[string]string{limit.Pass: "PASS", limit.Fail: "FAIL", limit.Undecided: "TOO CLOSE TO CALL", limit.NotJudged: "NOT JUDGED"}
	outcomeTones = map[string]doc.Outcome{limit.Pass: doc.Good, limit.Fail: doc.Bad, limit.Undecided: doc.Unclear}
)

// byEyeBlocks are what no recording told: meter readings, checks, and what was
// left out.
func byEyeBlocks(r reports.Job) []doc.Block {
	var blocks []doc.Block
	for _, round := range r.Rounds {
		t := doc.Table{Columns: []doc.Column{{}, {}, {}, {}}}
		for _, m := range round.ByEye {
			cells := []string{m.What, m.Value, "", ""}
			if m.Verdict != nil {
				cells[2], cells[3] = "limit "+m.Verdict.Limit.Typed, outcomeWords[m.Verdict.Outcome]
			}
			if m.Verdict != nil && m.Verdict.Why != "" {
				cells[3] += ": " + m.Verdict.Why
			}
			t.Rows = append(t.Rows, cells)
		}
		for _, c := range round.Checks {
			t.Rows = append(t.Rows, []string{c.What, map[bool]string{true: "yes", false: "no"}[c.Yes], c.Note, map[bool]string{true: "", false: "FAIL"}[c.Yes]})
		}
		for _, n := range round.NotMeasured {
			t.Rows = append(t.Rows, []string{n.What, "not measured", n.Why, ""})
		}
		if len(t.Rows) > 0 {
			blocks = append(blocks, doc.Heading{Text: roundWords[round.Name] + ": read by eye"}, t)
		}
	}
	return blocks
}

// verdictBlocks is the verdict of the round that decides.
func verdictBlocks(r reports.Job) []doc.Block {
	n := r.Newest()
	if n == nil || n.Overall.Outcome == "" {
		return nil
	}
	word := outcomeWords[n.Overall.Outcome]
	if n.Overall.Outcome == limit.Undecided {
		word = "UNDECIDED" // it may be missing as well as close
	}
	return []doc.Block{doc.Answer{Parts: []string{"Verdict, " + strings.ToLower(roundWords[n.Name])}, Verdict: word,
		Outcome: outcomeTones[n.Overall.Outcome], Reason: strings.Join(n.Overall.Reasons, "; ")}}
}

type testInRound struct {
	round string
	test  reports.Test
}

// pointsOf are the sensitivity tests of all rounds.
func pointsOf(r reports.Job) []testInRound {
	var all []testInRound
	for _, round := range r.Rounds {
		for _, t := range round.Tests {
			if t.Sensitivity != nil {
				all = append(all, testInRound{round.Name, t})
			}
		}
	}
	return all
}

// budgetBlocks is the uncertainty budget of each point.
func budgetBlocks(r reports.Job) []doc.Block {
	var blocks []doc.Block
	for _, one := range pointsOf(r) {
		b, ok := limit.Budget(one.test.Sensitivity.Result)
		if !ok {
			continue
		}
		t := doc.Table{Columns: []doc.Column{{Head: "contribution"}, {Head: "type"}, {Head: "distribution"}, {Head: "stated", Align: doc.Right}, {Head: "standard", Unit: "dB", Align: doc.Right}}}
		for _, c := range b {
			stated := doc.Significant(c.HalfWidth, 3) + " " + c.Unit
			if c.Unit == "" {
				stated += "dB"
			}
			t.Rows = append(t.Rows, []string{c.Name, c.Type, c.Distribution, "\u00b1" + stated, doc.Significant(c.Standard(), 2)})
		}
		t.Rows = append(t.Rows, []string{"combined", "", "", "", doc.Significant(b.Combined(), 2)}, []string{"expanded, k = 1.96", "", "", "", doc.Significant(b.Expanded(), 2)})
		blocks = append(blocks, doc.Heading{Text: roundWords[one.round] + ": uncertainty budget of the " + one.test.Label()}, t)
	}
	return blocks
}
