package limit

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/budget"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Names of the contributions that WidenResult adds to a point.
const (
	ShareMismatch  = "mismatch"
	ShareDeviation = "deviation"
	ShareToneTHD   = "tone_distortion"
	ShareCardFlat  = "card_response"
)

// budgetOfPoint is the uncertainty budget of a point: the scatter of its readings,
// then what was stated of generator, pad, mismatch and deviation. ok is false without
// a point. A relative point has no part of the generator's.
func budgetOfPoint(r analyze.Result) (b budget.Budget, ok bool) {
	if r.Point.Status != analyze.Found {
		return nil, false
	}
	for _, s := range r.Point.Shares {
		switch {
		case s.Name == analyze.ShareReadings:
			b = append(b, budget.Scatter("scatter of the readings", s.DB))
		case s.Name == analyze.ShareBetween && s.DB > 0:
			b = append(b, budget.Normal("gaps between levels", s.DB, 1))
		}
	}
	f := asked{r, r.Point.Figure(job.QuantitySensitivity)}
	if r.Point.Level.Scale == unit.Absolute {
		b = append(b, actsOf(f, true)...)
		b = append(b, mismatch(r.Setup.Path)...)
	}
	return append(append(append(b, actsOf(f, false)...), typed(r.Setup.Uncertainty)...), cardOfPoint(r)...), true
}

// typed are the contributions that were typed beside a test, in dB.
func typed(all []job.Contribution) (b budget.Budget) {
	for _, c := range all {
		switch c.Distribution {
		case job.Normal:
			b = append(b, budget.Normal(c.What, c.DB, 2))
		case job.UShaped:
			b = append(b, budget.Contribution{Name: c.What, Type: budget.TypeB, Distribution: budget.UShape, HalfWidth: c.DB, Divisor: math.Sqrt2, Sensitivity: 1})
		case job.Standard:
			b = append(b, budget.Contribution{Name: c.What, Type: budget.TypeB, Distribution: budget.StandardShape, HalfWidth: c.DB, Divisor: 1, Sensitivity: 1})
		default:
			b = append(b, budget.Rectangular(c.What, c.DB))
		}
	}
	return b
}

// BudgetOf is the uncertainty budget of a figure: its
// own scatter (of a figure by substitution with that of its reference), what the
// sound card contributes, and what was typed beside the test where it is in dB. ok
// is false without an interval.
func BudgetOf(r analyze.Result, f analyze.Reading) (b budget.Budget, ok bool) {
	if r.Point != nil {
		return budgetOfPoint(r)
	}
	if !f.HasInterval() {
		return nil, false
	}
	own := r.OwnOf(f.Name)
	if !own.HasInterval() {
		return nil, false
	}
	half := (own.High - own.Low) / 2 / budget.Coverage
	name := "scatter of the readings"
	if row, _ := job.FigureOf(f.Name); row.Stepped {
		name = "step between the levels"
	}
	b = budget.Budget{budget.Scatter(name, math.Sqrt(math.Max(0, half*half-own.Common*own.Common)))}
	b[0].Unit = f.Unit
	return append(append(b, ofGenerator(r, own)...), joining(r, own)...), true
}

// ofGenerator are the contributions that the analysis has joined with a figure.
func ofGenerator(r analyze.Result, f analyze.Reading) budget.Budget {
	switch {
	case f.Common == 0:
		return nil
	case f.Unit == "dBm":
		return append(actsOf(asked{r, f}, true), mismatch(r.Setup.Path)...)
	}
	return actsOf(asked{r, f}, true)
}

// joining is all that joins the scatter of a figure.
func joining(r analyze.Result, own analyze.Reading) (b budget.Budget) {
	if inDecibels(own.Unit) {
		b = typed(r.Setup.Uncertainty)
	}
	return append(append(b, actsOf(asked{r, own}, false)...), cardOf(r, own)...)
}

func inDecibels(unitName string) bool { return unitName == "dB" || unitName == "dBm" }

// WidenResult is the result with what the sound card contributes, and what was
// typed beside the test, in the intervals of its figures. Figures with their
// scatter alone are kept as its Own.
func WidenResult(r analyze.Result) analyze.Result {
	if r.Point != nil {
		return r.WithPoint(widenedPoint(r))
	}
	if r.Own == nil {
		r.Own = r.Figures
	}
	figures, changed := append([]analyze.Reading(nil), r.Figures...), false
	for i, own := range r.Figures {
		if own = r.OwnOf(own.Name); own.HasInterval() {
			figures[i] = widened(own, joining(r, own))
		}
		changed = changed || figures[i] != own
	}
	if !changed {
		r.Own = nil
		return r
	}
	r.Figures = figures
	return r
}

// mismatch is that between generator and set, through the pad there and back.
func mismatch(path job.RFPath) budget.Budget {
	if path.GeneratorReflection <= 0 || path.InputReflection <= 0 {
		return nil
	}
	through := math.Pow(10, -math.Max(0, path.PadDB)/20)
	return budget.Budget{budget.Mismatch(ShareMismatch, path.GeneratorReflection, path.InputReflection, through, through)}
}

// shareNames are the names of inputs among the shares of a point.
var shareNames = map[string]string{string(job.InputModulation): ShareDeviation, string(job.InputToneTHD): ShareToneTHD, string(job.InputCardFlat): ShareCardFlat}

// widenedPoint is a result's point with mismatch, deviation and the sound card in its
// interval.
func widenedPoint(r analyze.Result) analyze.Point {
	p, card := *r.Point, cardOfPoint(r) // all of it holds for the point as it was read
	if p.Status == analyze.Found && p.Level.Scale == unit.Absolute {
		for _, in := range []job.Input{job.InputLevel, job.InputPad} {
			if r.Setup.Assumed[in] {
				p.NotStated = append(p.NotStated, map[job.Input]string{job.InputLevel: "generator", job.InputPad: "pad"}[in])
			}
		}
	}
	var more budget.Budget
	if p.Level.Scale == unit.Absolute {
		more = mismatch(r.Setup.Path)
	}
	more = append(more, actsOf(asked{r, p.Figure(job.QuantitySensitivity)}, false)...)
	for _, c := range append(more, typed(r.Setup.Uncertainty)...) {
		name := c.Name
		if known, ok := shareNames[name]; ok {
			name = known
		}
		p = p.With(name, c.Standard())
	}
	for _, c := range card {
		if c.Towards == 0 {
			p = p.With(ShareCardReading, c.Standard())
		}
	}
	if _, high := card.Beyond(); high > 0 { // last, since it is no part of a root-sum-square
		p = p.WithHigh(ShareCardNoise, high)
	}
	return p
}
