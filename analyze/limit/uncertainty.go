package limit

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/limit/budget"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Names of the contributions that Widen adds.
const (
	ShareMismatch  = "mismatch"
	ShareDeviation = "deviation"
)

// Budget is the uncertainty budget of a sensitivity point: the scatter of its
// readings, then what was stated of generator, pad, mismatch and deviation.
// ok is false without a point. A relative point has no part of the generator's.
func Budget(r analyze.SensitivityResult) (b budget.Budget, ok bool) {
	if r.Point.Status != analyze.Found {
		return nil, false
	}
	path := r.Test.Path
	for _, s := range r.Point.Shares {
		switch {
		case s.Name == analyze.ShareReadings:
			b = append(b, budget.Scatter("scatter of the readings", s.DB))
		case s.Name == analyze.ShareBetween && s.DB > 0:
			b = append(b, budget.Normal("course between the levels", s.DB, 1))
		}
	}
	if r.Point.Level.Scale == unit.Absolute {
		if path.LevelUncertainty != nil {
			b = append(b, budget.Rectangular("generator level", *path.LevelUncertainty))
		}
		if path.PadUncertaintyDB != 0 {
			b = append(b, budget.Rectangular("pad and cable", path.PadUncertaintyDB))
		}
	}
	return append(b, stated(r)...), true
}

// stated are mismatch and deviation, as far as they were stated.
func stated(r analyze.SensitivityResult) (b budget.Budget) {
	path := r.Test.Path
	if r.Point.Level.Scale == unit.Absolute {
		b = mismatch(path)
	}
	if r.Test.DeviationPercent > 0 && r.Point.Slope > 0 && r.Test.Criterion.Quantity == job.QuantitySINAD && (r.Test.Mode == job.FM || r.Test.Mode == "") {
		b = append(b, budget.DeviationPercent(ShareDeviation, r.Test.DeviationPercent, r.Point.Slope))
	}
	return b
}

// mismatch is that between generator and set, through the pad there and back.
func mismatch(path job.RFPath) budget.Budget {
	if path.GeneratorReflection <= 0 || path.InputReflection <= 0 {
		return nil
	}
	through := math.Pow(10, -math.Max(0, path.PadDB)/20)
	return budget.Budget{budget.Mismatch(ShareMismatch, path.GeneratorReflection, path.InputReflection, through, through)}
}

// Widen is the result with mismatch and deviation in its point's interval.
func Widen(r analyze.SensitivityResult) analyze.SensitivityResult {
	for _, c := range stated(r) {
		r.Point = r.Point.With(c.Name, c.Standard())
	}
	return r
}
