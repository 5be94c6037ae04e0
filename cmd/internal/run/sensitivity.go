package run

import (
	"errors"

	"hisspoint/analyze"
	"hisspoint/analyze/card"
	"hisspoint/analyze/kind"
	"hisspoint/analyze/limit"
	"hisspoint/analyze/reading"
	"hisspoint/capture/job"
	"hisspoint/reports"
)

// Sensitivity runs a sensitivity test on the files that its takes name, which
// are measured on all cores. Every one of them has to be readable: a series
// with holes would move the point.
func (rn Runner) Sensitivity(t job.Setup, profiles []job.Profile, use Use) (reports.Sensitivity, error) {
	if use.Channel == AllChannels {
		return reports.Sensitivity{}, errors.New("--channel all: a series is made of one channel of each file; give its number")
	}
	var err error
	if t.Reading, err = rn.tied(t.Reading, job.Test{Stanza: &t.Stanza}.Files()...); err != nil {
		return reports.Sensitivity{}, err
	}
	if t.OneFile {
		return rn.stepped(t, profiles, use)
	}
	if t.Criterion.Quantity == job.QuantitySNN || t.Criterion.Quantity == job.QuantityQuieting {
		if use, err = rn.sharing(telling(t.Takes), t.Reading, use); err != nil {
			return reports.Sensitivity{}, err
		}
	}
	rows, failures := make([]analyze.Row, len(t.Takes)), make([]error, len(t.Takes))
	rn.InParallel(len(t.Takes), func(i int) { rows[i], failures[i] = rn.row(t, t.Takes[i], use) })
	for _, err := range failures { // the first of the command line, however they were dealt out
		if err != nil {
			return reports.Sensitivity{}, err
		}
	}
	result, err := kind.SensitivityOf(t, rows)
	if err != nil {
		return reports.Sensitivity{}, err
	}
	return rn.judged(result, profiles), nil
}

// stepped measures one recording in which the generator was stepped.
func (rn Runner) stepped(t job.Setup, profiles []job.Profile, use Use) (reports.Sensitivity, error) {
	f, closeFile, err := rn.open(t.Takes[0].File)
	if err != nil {
		return reports.Sensitivity{}, err
	}
	defer closeFile()
	one, err := use.of(f, t.Reading)
	if err != nil {
		return reports.Sensitivity{}, err
	}
	result, err := kind.SteppedSensitivity(t, one[0])
	if err != nil {
		return reports.Sensitivity{}, err
	}
	return rn.judged(result, profiles), nil
}

// judged is the record of a result, with its verdict if there is a limit.
func (rn Runner) judged(result analyze.SensitivityResult, profiles []job.Profile) reports.Sensitivity {
	result = limit.Widen(result)
	result.Warnings = append(result.Warnings, card.OfSensitivity(result)...)
	t := result.Setup
	out := reports.Sensitivity{Version: rn.Version, Result: result}
	for _, l := range t.Pick(job.QuantitySensitivity, profiles) {
		v := limit.JudgeSensitivity(result, l, t.Decide)
		out.Verdict = &v
	}
	return out
}

// row measures one recording of a series.
func (rn Runner) row(t job.Setup, take job.Take, use Use) (analyze.Row, error) {
	f, closeFile, err := rn.open(take.File)
	if err != nil {
		return analyze.Row{}, err
	}
	defer closeFile()
	if take.From < take.To {
		use = Use{Channel: use.Channel, From: take.From, To: take.To} // others have other levels
	}
	one, err := use.of(f, t.Reading)
	if err != nil {
		return analyze.Row{}, err
	}
	if err := use.around(one, t.Reading); err != nil {
		return analyze.Row{}, err
	}
	m, err := reading.Measure(one[0], t.Reading)
	return analyze.Row{Take: take, Measured: m}, err
}
