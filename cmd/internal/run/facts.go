package run

import (
	"fmt"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
)

// stillOwed is the verdict of a round once it owes what failed in the one before.
func stillOwed(before, round reports.Round, r *job.Round) limit.Overall {
	facts := round.Overall.Facts
	owed := limit.NotAgain(before.Overall.Facts, facts, func(f limit.Fact) string { return r.WhyLeft(f.What) })
	for i, f := range owed {
		kind, rest, _ := strings.Cut(f.Key, "|")
		name, _, _ := strings.Cut(rest, "|")
		owed[i].Decide = byFile(round.Name, kind, name)
		if kind == factReading || kind == factCheck {
			owed[i].Decide = byReading(round.Name, f.What, map[bool]string{true: "yes", false: "VALUE"}[f.Check])
		}
	}
	return limit.Join(append(facts[:len(facts):len(facts)], owed...))
}

// What keys of facts begin with that are no kind of test.
const (
	factReading = "reading"
	factCheck   = "check"
)

// byFile is the command that records a test in a round.
func byFile(round, kind, name string) string {
	if name != "" {
		kind += ":" + name
	}
	return "hisspoint job add FILE --test " + kind + " --round " + round
}

func byReading(round, what, value string) string {
	return fmt.Sprintf("hisspoint job reading %q %s --round %s", what, value, round)
}

// byEye are the meter readings with their verdicts, and the facts with those of
// readings and checks behind them.
func byEye(round string, r *job.Round, facts []limit.Fact) ([]reports.MeterReading, []limit.Fact) {
	var all []reports.MeterReading
	for _, m := range r.MeterReadings {
		v := limit.JudgeMeter(m, r.Conditions)
		if m.Value == "" && r.Omitted(m.What) {
			continue // it stands among what was not measured, with the reason
		}
		if m.Value == "" { // planned, and not read yet
			facts = append(facts, limit.Fact{Key: keyOf(factReading, m.What), What: m.What, Missing: true, Decide: byReading(round, m.What, "VALUE")})
			v = nil
		}
		all = append(all, reports.MeterReading{MeterReading: m, Verdict: v})
		if v != nil {
			f := factOf(*v)
			f.Key, f.What = keyOf(factReading, m.What), m.What
			facts = append(facts, f)
		}
	}
	for _, c := range r.Checks {
		f := limit.Fact{Key: keyOf(factCheck, c.What), What: c.What, Outcome: limit.Pass, Check: true}
		switch {
		case c.Open && r.Omitted(c.What):
			continue
		case c.Open:
			f.Missing, f.Decide = true, byReading(round, c.What, "yes")
		case !c.Yes:
			f.Outcome, f.Why = limit.Fail, c.Note
		}
		facts = append(facts, f)
	}
	return all, facts
}

// factOf is a verdict as a fact.
func factOf(v limit.Verdict) limit.Fact {
	return limit.Fact{Outcome: v.Outcome, Why: v.Why, Limit: v.Limit}
}

// keyOf tells facts apart; that of a test as a whole ends where those of its figures go on.
func keyOf(parts ...string) string {
	for i, p := range parts {
		parts[i] = strings.ToLower(strings.TrimSpace(p))
	}
	return strings.Join(parts, "|")
}

// testFacts are what a test brings into the verdict. One that was asked for and
// gave nothing leaves the round undecided, with or without a limit.
func testFacts(round string, t job.Test, r reports.Test) []limit.Fact {
	whole := limit.Fact{Key: keyOf(t.Kind, t.Name, ""), What: t.Label(), Decide: byFile(round, t.Kind, t.Name)}
	p := r.Result.Point
	switch why, nothing := gaveNothing(*r.Result); {
	case t.Planned():
		whole.Missing = true
		if p != nil {
			whole.Why = p.Why
		}
		return []limit.Fact{whole}
	case r.Result.Why != "":
		whole.Outcome, whole.Why = limit.Undecided, r.Result.Why
		return []limit.Fact{whole}
	case len(r.Judged) == 0 && nothing:
		whole.Outcome, whole.Why = limit.Undecided, why
		return []limit.Fact{whole}
	}
	var facts []limit.Fact
	for _, j := range r.Judged {
		f := factOf(j.Verdict)
		f.Key, f.What = keyOf(t.Kind, t.Name, j.Verdict.Limit.Quantity, j.Verdict.Limit.Bound), t.Label()
		known := j.Figure.OK() && (p == nil || p.Status == analyze.Found)
		if p == nil && len(r.Judged) > 1 {
			f.What += ", " + job.LabelOf(j.Verdict.Limit.Quantity)
		}
		switch {
		case f.Outcome == limit.Fail && f.Why == "":
			f.Why = "limit " + j.Verdict.Limit.Typed
			if p == nil { // else its test says what it is of
				f.Why = j.Verdict.Limit.Name + ", " + f.Why
			}
		case f.Outcome == limit.Undecided && known:
			f.Close, f.Decide = true, "hisspoint report --budget, and lessen the largest share"
		case f.Outcome == limit.Undecided:
			f.Decide = whole.Decide
		}
		facts = append(facts, f)
	}
	return facts
}

// gaveNothing tells whether a test has not one figure with a value, and no answer in
// words either, and why.
func gaveNothing(r analyze.Result) (why string, nothing bool) {
	if r.Answer != "" {
		return "", false
	}
	for _, f := range r.Figures {
		if f.OK() {
			return "", false
		}
		if why == "" {
			why = string(f.Why)
		}
	}
	return why, true
}
