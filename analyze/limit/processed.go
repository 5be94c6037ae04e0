package limit

import (
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/soundness"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// quietQuantities rest on noise by itself, which a coder takes away or adds to.
var quietQuantities = []string{job.QuantityHumNoise, job.QuantitySNR, job.QuantitySNN, job.QuantityQuieting}

// notFromCoded says why a quantity is not judged from recordings that were coded; empty:
// it is.
func notFromCoded(rows []analyze.Used, quantity string) string {
	if !slices.Contains(quietQuantities, quantity) {
		return ""
	}
	for _, u := range rows {
		if soundness.LosesNoise(u.Measured.Coded) {
			return u.Measured.Origin.File + " came by " + soundness.Words(u.Measured.Coded) + ", which changes noise: nothing that rests on it is judged"
		}
	}
	return ""
}

// asRecorded takes back a verdict that what happened to the sound may have made: a pass
// from sound that a suppressor cleaned, a fail from sound whose tone it took away, or
// that a coder spoiled, and any that rests on noise which a coder changed.
func asRecorded(v Verdict, r analyze.Result) Verdict {
	quantity := v.Limit.Quantity
	if r.Point != nil {
		quantity = r.Setup.Criterion.Quantity
	}
	if v.Outcome != Pass && v.Outcome != Fail {
		return v
	}
	warned := func(code capture.Code) bool {
		return slices.ContainsFunc(r.Warnings, func(w capture.Warning) bool { return w.Code == code })
	}
	if warned(capture.NotAsKept) {
		v.Outcome, v.Why = Undecided, "a file is not what it was when it was added, or is the same sound as another: say with hisspoint job replace what is meant"
		return v
	}
	if r.Point != nil && warned(capture.SeriesContradicts) && r.Setup.Setting(job.SettingLevelsChecked) == "" {
		v.Outcome, v.Why = Undecided, "a reading contradicts the others of its series: put the levels right, or say that they are right"
	}
	if why := notFromCoded(r.Rows, quantity); why != "" {
		v.Outcome, v.Why = Undecided, why
	}
	for _, u := range r.Rows {
		m := u.Measured
		switch s := m.Get(analyze.SINAD); {
		case m.Misreads == analyze.TooHigh && v.Outcome == Pass:
			v.Outcome, v.Why = Undecided, m.Origin.File+" was worked on by a noise suppressor or line enhancer and may read too good: record without it"
		case m.Misreads == analyze.EitherWay:
			v.Outcome, v.Why = Undecided, m.Origin.File+" came by "+soundness.Words(m.Coded)+", and a noise suppressor may have worked on it as well: record by cable, without it"
		case m.Misreads == analyze.TooLow && v.Outcome == Fail:
			v.Outcome, v.Why = Undecided, m.Origin.File+" was worked on by noise suppression that takes the tone down as well: record without it"
		case s.OneSided != "" && v.Outcome == Fail && (r.Point == nil || soundness.MisreadOf(m.Coded, r.Setup.Criterion.Value).Open):
			v.Outcome, v.Why = Undecided, m.Origin.File+" came by "+soundness.Words(m.Coded)+" and reads at least what it shows, so it may be better: record by cable"
		}
	}
	return v
}
