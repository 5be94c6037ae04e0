package limit

import (
	"fmt"
	"math"

	"hisspoint/capture/job"
)

// Sides on which an interval may be open: nothing is known beyond the value there.
const (
	OpenLow  = "low"
	OpenHigh = "high"
)

// Judge judges one figure, in the limit's unit, against a limit.
//
// By the guarded rule (ISO 14253-1, ILAC-G8 with a guard band of the expanded
// uncertainty) a figure passes when its whole interval low to high lies inside
// the limit, fails when it lies wholly outside, and is undecided in between or
// without an interval. oneSided names a side on which the interval is not
// closed; it then reaches without end there. By the value rule the value alone
// decides. What lies on the limit itself is inside: "at most 5 %" allows 5 %.
//
// A value that is no number is undecided by either rule, never a pass.
func Judge(value, low, high float64, hasInterval bool, oneSided string, lim job.Limit, rule string) Verdict {
	v := Verdict{Outcome: Undecided, Limit: lim, Rule: ruleOr(rule)}
	if !finite(value) {
		v.Why = "there is no value to judge"
		return v
	}
	if why := unusable(lim); why != "" {
		v.Outcome, v.Why = NotJudged, why
		return v
	}
	margin := inside(value, lim)
	v.Margin = &margin
	if lim.Unit == "dB" || lim.Unit == "dBm" {
		v.MarginDB = &margin
	}
	if v.Rule == job.ByValue {
		v.Outcome = Fail
		if margin >= 0 {
			v.Outcome = Pass
		}
		return v
	}
	if !hasInterval {
		v.Why = "the value has no interval, and the guarded rule needs one"
		return v
	}
	if oneSided == OpenLow {
		low = math.Inf(-1)
	}
	if oneSided == OpenHigh {
		high = math.Inf(1)
	}
	v.Outcome, v.Why = guarded(low, high, lim)
	return v
}

// guarded decides by the whole interval, whose ends may be infinite.
func guarded(low, high float64, lim job.Limit) (outcome, why string) {
	if math.IsNaN(low) || math.IsNaN(high) || low > high {
		return Undecided, "the value has no interval, and the guarded rule needs one"
	}
	worst, best := inside(high, lim), inside(low, lim)
	if lim.Bound == job.AtLeast {
		worst, best = best, worst
	}
	switch {
	case worst >= 0:
		return Pass, ""
	case best < 0:
		return Fail, ""
	case math.IsInf(worst, 0) && math.IsInf(best, 0):
		return Undecided, "nothing is known of the value on either side"
	case math.IsInf(worst, 0) || math.IsInf(best, 0):
		return Undecided, "the interval is open on one side, so the limit may lie within it"
	}
	return Undecided, "the limit lies within the interval"
}

// inside is how far inside the limit x lies, in the limit's unit; negative: outside.
func inside(x float64, lim job.Limit) float64 {
	if lim.Bound == job.AtLeast {
		return x - lim.Value
	}
	return lim.Value - x
}

// unusable says why nothing can be judged against a limit, "" if it can.
func unusable(lim job.Limit) string {
	switch {
	case lim.Bound != job.AtMost && lim.Bound != job.AtLeast:
		return fmt.Sprintf("the limit says neither at most nor at least, but %q", lim.Bound)
	case !finite(lim.Value):
		return "the limit has no figure"
	}
	return ""
}

func ruleOr(rule string) string {
	if rule == job.ByValue {
		return rule
	}
	return job.Guarded
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
