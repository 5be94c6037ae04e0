package limit

import (
	"fmt"
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/budget"
	"hisspoint/analyze/card"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// judgePoint judges the point of a series against a limit in dBm. The margin is limit
// minus point, in dB: how much less signal than allowed the set does with.
//
// A point on a relative scale is not judged. One outside the levels that were
// recorded is still judged where its side of the range decides it (see beyond); one
// that could not be given is undecided.
func judgePoint(r analyze.Result, lim job.Limit) Verdict {
	v, p := Verdict{Outcome: NotJudged, Limit: lim, Rule: ruleOr(r.Setup.Decide)}, *r.Point
	switch {
	case lim.Unit != "dBm":
		v.Why = fmt.Sprintf("the limit is in %q, not an RF level", lim.Unit)
		return v
	case lim.Conditions.Misfit(r.Setup) != "":
		v.Why = lim.Conditions.Misfit(r.Setup)
		return v
	case p.Level.Scale == unit.Relative:
		v.Why = "the levels are relative: give the generator's levels in µV or dBm to have them judged"
		return v
	}
	switch p.Status {
	case analyze.Found:
		hasInterval := p.NoInterval == "" && p.Low <= p.Level.DB && p.Level.DB <= p.High
		return Judge(p.Level.DB, p.Low, p.High, hasInterval, p.OneSided, lim, r.Setup.Decide)
	case analyze.BelowRange, analyze.AboveRange:
		return beyond(r, lim)
	}
	v.Outcome, v.Why = Undecided, p.Why
	if v.Why == "" {
		v.Why = "the series gives no point"
	}
	return v
}

// beyond judges a point that lies below or above all levels of the series.
//
// Below the range, every reading meets the criterion, so the point lies under
// the weakest level that surely meets it. That level, raised by the uncertainty
// of generator and pad, bounds the point from above; what bounds it from below
// is not known. So it passes a limit "at most" when the bound is inside, and
// otherwise is undecided, since a weaker signal might have been enough. Above
// the range the same holds the other way round: a fail, or undecided. The
// point itself has no value, and so no margin.
func beyond(r analyze.Result, lim job.Limit) Verdict {
	v := Verdict{Outcome: Undecided, Limit: lim, Rule: ruleOr(r.Setup.Decide)}
	if why := unusable(lim); why != "" {
		v.Outcome, v.Why = NotJudged, why
		return v
	}
	below := r.Point.Status == analyze.BelowRange
	edge, ok := edgeOf(r, below, v.Rule == job.Guarded)
	if !ok {
		v.Why = "no reading is clearly on one side of the criterion: record weaker and stronger levels"
		if r.Point.Why != "" {
			v.Why = r.Point.Why
		}
		return v
	}
	guard := 0.0
	if v.Rule == job.Guarded {
		guard = levelGuard(r)
	}
	low, high := edge-guard, math.Inf(1)
	if below {
		low, high = math.Inf(-1), edge+guard
	}
	v.Outcome, _ = guarded(low, high, lim)
	v.Why = beyondWhy(v.Outcome, below)
	return v
}

// beyondWhy says it in words; the level itself is part of the point.
func beyondWhy(outcome string, below bool) string {
	side, other := "below the weakest", "weaker"
	if !below {
		side, other = "above the strongest", "stronger"
	}
	at := "the point lies " + side + " level that was recorded"
	switch outcome {
	case Pass:
		return at + ", and that level is inside the limit already"
	case Fail:
		return at + ", and that level is outside the limit already"
	}
	return at + ", which does not decide it: record " + other + " signals"
}

// edgeOf is the level nearest to the point whose reading is on the right side
// of the criterion: below the range the weakest that meets it, above the range
// the strongest that does not. If surely, the reading's whole interval has to
// be on that side. A reading without a tone is no evidence.
func edgeOf(r analyze.Result, below, surely bool) (edge float64, ok bool) {
	want := r.Setup.Criterion.Value
	typed := budget.Budget{budget.Rectangular(cardReading, r.Setup.Reading.CardDB)}.Expanded()
	for _, row := range r.Rows {
		if row.Level.Scale != unit.Absolute {
			continue
		}
		w, here := r.WorthOf(row), false
		switch {
		case !w.OK():
			// Without a tone there is no telling a deaf set from a generator whose
			// modulation was off: only a weaker reading with a tone is evidence.
		case surely && !w.HasInterval():
		case below:
			here = w.Value >= want && (!surely || w.Low-typed >= want)
		default: // the card's own noise may be what keeps it below
			here = w.Value < want && (!surely || w.High+typed+card.OnRow(r, row) < want)
		}
		if here && (!ok || (row.Level.DB < edge) == below) {
			edge, ok = row.Level.DB, true
		}
	}
	return edge, ok
}

// levelGuard is the expanded uncertainty of a level at the set: generator, pad
// and mismatch.
func levelGuard(r analyze.Result) float64 {
	path := r.Setup.Path
	b := budget.Budget{budget.Rectangular("pad and cable", path.PadUncertaintyDB)}
	if path.LevelUncertainty != nil {
		b = append(b, budget.Rectangular("generator level", *path.LevelUncertainty))
	}
	return append(b, mismatch(path)...).Expanded()
}
