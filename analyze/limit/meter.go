package limit

import (
	"fmt"
	"math"

	"hisspoint/capture/job"
)

// JudgeMeter judges what was read off an instrument, nil if it has no limit. A
// reading by eye has no interval, so its value alone decides. A limit is
// "at most 2 kHz", "at least 4 W", or a nominal value with a tolerance, as a
// figure in the same unit, in dB (a ratio of levels; of powers and voltages
// too) or in percent of the nominal value. A value on the limit is inside. c
// says what µV and S9 mean.
func JudgeMeter(m job.MeterReading, c job.RoundConditions) *Verdict {
	if m.Limit == "" && m.Nominal == "" {
		return nil
	}
	v := &Verdict{Outcome: NotJudged, Rule: job.ByValue,
		Limit: job.Limit{Name: m.What, Quantity: "meter_reading", Standing: job.User, Typed: m.Limit}}
	got, err := job.ParseFigure(m.Value, c)
	if err != nil {
		v.Why = "the value " + err.Error()
		return v
	}
	v.Limit.Unit = got.Unit
	if m.Nominal != "" {
		v.Limit.Typed = c.SaysS9(m.Nominal) + " within " + m.Within
		judgeBand(v, m, got, c)
		return v
	}
	text, source, bound := job.SplitBound(m.Limit)
	want, err := job.ParseFigure(text, c)
	switch {
	case err != nil:
		v.Why = "the limit " + err.Error()
	case bound == "":
		v.Why = fmt.Sprintf("the limit %q says neither at most nor at least", m.Limit)
	case want.Unit != got.Unit:
		v.Why = unlike(got, want)
	default:
		v.Limit.Bound, v.Limit.Value, v.Limit.Source = bound, want.Value, source
		*v = Judge(got.Value, got.Value, got.Value, true, "", v.Limit, job.ByValue)
	}
	return v
}

// judgeBand judges against a nominal value with a tolerance.
func judgeBand(v *Verdict, m job.MeterReading, got job.Figure, c job.RoundConditions) {
	nominal, err := job.ParseFigure(m.Nominal, c)
	if err != nil {
		v.Why = "the nominal value " + err.Error()
		return
	}
	within, err := job.ParseFigure(m.Within, c)
	if err != nil {
		v.Why = "the tolerance " + err.Error()
		return
	}
	if nominal.Unit != got.Unit {
		v.Why = unlike(got, nominal)
		return
	}
	off := math.Abs(got.Value - nominal.Value)
	switch ratio := got.Value / nominal.Value; {
	case within.Value < 0:
		v.Why = "the tolerance is below zero"
		return
	case within.Unit == nominal.Unit || within.Unit == "dB" && nominal.Unit == "dBm":
	case within.Unit == "%" && nominal.Value != 0:
		off = 100 * math.Abs(ratio-1)
	case within.Unit == "dB" && ratio > 0 && nominal.Unit == "W":
		off = math.Abs(10 * math.Log10(ratio))
	case within.Unit == "dB" && ratio > 0 && (nominal.Unit == "V" || nominal.Unit == "A"):
		off = math.Abs(20 * math.Log10(ratio))
	default:
		v.Why = unlike(within, nominal)
		return
	}
	v.Limit.Bound, v.Limit.Value, v.Limit.Unit = job.AtMost, within.Value, within.Unit
	*v = Judge(off, off, off, true, "", v.Limit, job.ByValue)
}

func unlike(a, b job.Figure) string {
	return fmt.Sprintf("%s and %s cannot be compared: write both in the same unit", named(a), named(b))
}

func named(f job.Figure) string {
	if f.Unit == "" {
		return "a figure without unit"
	}
	return "a figure in " + f.Unit
}
