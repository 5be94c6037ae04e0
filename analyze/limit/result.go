package limit

import (
	"fmt"

	"math"

	"hisspoint/analyze"
	"hisspoint/capture"
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
			if least := r.Get(quantity + job.FigureLeast); l.Bound == job.AtLeast && least.OK() {
				figure = least
			}
			v := asRecorded(judgeFigure(r, figure, l), r)
			v.Note = l.Conditions.Unstated(r.Setup.Deviation, r.Setup.Depth)
			if kind.Transmit { // a transmitter's modulation is what is measured
				v.Note = ""
			}
			if b, ok := BudgetOf(r, figure); ok {
				v.Repeats, v.Expanded, v.Assumed = b.Repeatability(), b.Expanded(), b.Assumed()
			}
			all = append(all, Judged{figure, v})
		}
	}
	return append(all, judgeMask(r)...)
}

// judgeMask is the verdict of a mask that the test asks for, which its response gave;
// nothing where it asks for none.
func judgeMask(r analyze.Result) []Judged {
	if r.Response == nil {
		return nil
	}
	worst, asked := r.Response.AgainstMask(r.Setup)
	if !asked {
		return nil
	}
	m := analyze.LandMobileMask
	v := Verdict{Outcome: Undecided, Rule: job.Guarded, Why: string(worst.Why),
		Limit: job.Limit{Name: "mask", Quantity: job.FigureMask, Bound: job.Within, Unit: "dB", Typed: m.Name, Source: m.Source, Standing: job.Memory}}
	if r.Why != "" {
		v.Why = r.Why
	}
	if got := r.Response.Mask; got != nil && r.Why == "" {
		v.Outcome, v.Why = got.Outcome, got.Why
	}
	return []Judged{{worst, asRecorded(v, r)}}
}

func judgeFigure(r analyze.Result, f analyze.Reading, l job.Limit) Verdict {
	if r.Point != nil {
		return judgePoint(r, l)
	}
	v := Verdict{Outcome: NotJudged, Limit: l, Rule: ruleOr(r.Setup.Decide)}
	if v.Why = l.Conditions.Misfit(r.Setup); v.Why != "" {
		return v
	}
	if f.Unreached && f.Unit == l.Unit {
		return unreached(v, f)
	}
	if !f.OK() {
		v.Outcome, v.Why = Undecided, string(f.Why)
		if r.Why != "" {
			v.Why = r.Why
		}
		return v
	}
	if f.Unit != l.Unit {
		v.Why = "the limit is in " + l.Unit + ", the figure in " + f.Unit
		return v
	}
	if v.Why = narrowBand(r, l); v.Why != "" {
		return v
	}
	v = Judge(f.Value, f.Low, f.High, f.HasInterval(), f.OneSided, l, r.Setup.Decide)
	row, _ := job.FigureOf(l.Quantity)
	if file := clippedFile(r); v.Outcome == Fail && file != "" && row.Clips {
		v.Outcome, v.Why = Undecided, file+" reaches full scale, so the sound card may distort instead of the set: turn its input gain down and record again"
	}
	return v
}

// unreached judges a figure of which only a lower bound is known: that bound decides where
// it lies inside a limit "at least" or outside one "at most", and nothing else.
func unreached(v Verdict, f analyze.Reading) Verdict {
	if v.Why = unusable(v.Limit); v.Why != "" {
		return v
	}
	v.Outcome, _ = guarded(f.Low, math.Inf(1), v.Limit)
	if v.Outcome == Undecided {
		v.Why = string(f.Why)
	}
	return v
}

// wideEnough is the upper edge in Hz from which on a wide filter holds what limits of hum
// and noise mean: 15 kHz (common practice).
const wideEnough = 15000

// narrowBand says why hum and noise are not held against a limit: the sample rate cuts the
// band short, and the limit is not one of that band. Empty: nothing speaks against it.
func narrowBand(r analyze.Result, l job.Limit) string {
	if l.Quantity != job.QuantityHumNoise || l.Conditions.Filter != "" {
		return ""
	}
	for _, u := range r.Rows {
		if top := job.WideTop(u.Measured.Rate); u.Measured.Filter.Name == job.Wide && u.Measured.Rate > 0 && top < wideEnough {
			return fmt.Sprintf("the sample rate of %d Hz ends the band at %.0f Hz, and the limit is for one up to 15 kHz at least: record at 44100 Hz or more, or state the limit's filter", u.Measured.Rate, top)
		}
	}
	return ""
}

// clippedFile is the first recording of a test that is clipped at full scale.
func clippedFile(r analyze.Result) string {
	for _, u := range r.Rows {
		for _, w := range u.Measured.Warnings {
			if w.Code == capture.Clipped {
				return u.Measured.Origin.File
			}
		}
	}
	return ""
}
