package limit

import (
	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// Judged is a figure of a test with the limit it was held against.
type Judged struct {
	Figure  analyze.Reading
	Verdict Verdict
}

// JudgeResult holds the figures of a test against the limits that its kind
// knows: those beside the test, or else of the profiles. A figure that could
// not be given is undecided, one whose limit's conditions do not fit is not
// judged. Nothing comes back for a quantity without a limit.
func JudgeResult(r analyze.Result, profiles []job.Profile) []Judged {
	kind, _ := job.KindOf(r.Setup.Kind)
	var all []Judged
	for _, quantity := range kind.Limits {
		for _, l := range r.Setup.Pick(quantity, profiles) {
			figure := r.Get(quantity)
			if least := r.Get(quantity + analyze.Least); l.Bound == job.AtLeast && least.OK() {
				figure = least
			}
			all = append(all, Judged{figure, judgeFigure(r, figure, l)})
		}
	}
	return all
}

func judgeFigure(r analyze.Result, f analyze.Reading, l job.Limit) Verdict {
	v := Verdict{Outcome: NotJudged, Limit: l, Rule: ruleOr(r.Setup.Decide)}
	if v.Why = l.Conditions.MisfitSetup(r.Setup); v.Why != "" {
		return v
	}
	if !f.OK() {
		v.Outcome, v.Why = Undecided, f.Why
		if r.Why != "" {
			v.Why = r.Why
		}
		return v
	}
	if f.Unit != l.Unit {
		v.Why = "the limit is in " + l.Unit + ", the figure in " + f.Unit
		return v
	}
	return Judge(f.Value, f.Low, f.High, f.HasInterval(), "", l, r.Setup.Decide)
}
