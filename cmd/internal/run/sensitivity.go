package run

import (
	"hisspoint/analyze"
	"hisspoint/analyze/kind"
	"hisspoint/analyze/reading"
	"hisspoint/capture/job"
)

// series runs a test that is after a point on the files that its takes name, which
// are measured on all cores. Every one of them has to be readable: a series with
// holes would move the point.
func (rn Runner) series(t job.Setup, use Use) (analyze.Result, error) {
	if len(t.Takes) == 0 {
		return analyze.Result{Setup: t}.WithPoint(analyze.Point{Status: analyze.TooFew, Why: "not recorded yet"}), nil
	}
	var err error
	if t.Reading, err = rn.tied(t.Reading, job.Test{Stanza: &t.Stanza}.Files()...); err != nil {
		return analyze.Result{}, err
	}
	if t.Criterion.Quantity == job.QuantitySNN || t.Criterion.Quantity == job.QuantityQuieting {
		if use, err = rn.sharing(telling(t.Takes), t.Reading, use); err != nil {
			return analyze.Result{}, err
		}
	}
	rows, failures := make([]analyze.Used, len(t.Takes)), make([]error, len(t.Takes))
	rn.InParallel(len(t.Takes), func(i int) { rows[i], failures[i] = rn.row(t, t.Takes[i], use) })
	for _, err := range failures { // the first of the command line, however they were dealt out
		if err != nil {
			return analyze.Result{}, err
		}
	}
	return kind.SensitivityOf(t, rows)
}

// row measures one recording of a series.
func (rn Runner) row(t job.Setup, take job.Take, use Use) (analyze.Used, error) {
	f, closeFile, err := rn.open(take.File)
	if err != nil {
		return analyze.Used{}, err
	}
	defer closeFile()
	if take.From < take.To {
		use = Use{Channel: use.Channel, From: take.From, To: take.To} // others have other levels
	}
	one, err := use.of(f, t.Reading)
	if err != nil {
		return analyze.Used{}, err
	}
	if err := use.around(one, t.Reading); err != nil {
		return analyze.Used{}, err
	}
	m, err := reading.Measure(one[0], t.Reading)
	return analyze.Used{Take: take, Measured: m}, err
}
