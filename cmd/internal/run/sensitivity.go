package run

import (
	"hisspoint/analyze"
	"hisspoint/analyze/kind"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
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
	files := job.Test{Stanza: &t.Stanza}.Files()
	if t.Reading, err = rn.tied(t.Reading, files...); err != nil {
		return analyze.Result{}, err
	}
	opened, closeAll, err := rn.openAll(files)
	if err != nil {
		return analyze.Result{}, err
	}
	defer closeAll()
	use, why, err := rn.oneChannel(inOrder(files, opened), t.Reading, use, false)
	if err != nil {
		return analyze.Result{}, err
	}
	if why != "" {
		return unstated(t, inOrder(files, opened), use, why)
	}
	rows, failures := make([]analyze.Used, len(t.Takes)), make([]error, len(t.Takes))
	rn.Progress = nil // the files tell
	rn.InParallel(len(t.Takes), func(i int) { rows[i], failures[i] = row(t, t.Takes[i], opened[t.Takes[i].File], use) })
	for _, err := range failures { // the first of the command line, however they were dealt out
		if err != nil {
			return analyze.Result{}, err
		}
	}
	return kind.SensitivityOf(t, rows)
}

// row measures one recording of a series.
func row(t job.Setup, take job.Take, f *capture.File, use Use) (analyze.Used, error) {
	if take.From < take.To {
		use.From, use.To, use.Whole = take.From, take.To, false // others have other levels
	}
	one, err := use.of(f)
	if err != nil {
		return analyze.Used{}, err
	}
	if err := use.around(one, t.Reading); err != nil {
		return analyze.Used{}, err
	}
	m, err := reading.Measure(one[0], t.Reading)
	return analyze.Used{Take: take, Measured: m}, err
}
