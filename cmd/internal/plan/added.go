package plan

import (
	"fmt"
	"slices"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports/sentence"
)

// AddedReading is what a recording that was put in its place tells at once.
type AddedReading struct {
	Placed
	Label string // of the test
	At    string // its place, as typed; empty: the whole test
	SINAD analyze.Reading
	Tone  bool   // a tone is due in it, and SINAD says something
	Falls string // not empty: the SINAD falls here while the level rises, and what to check
	Wrong string // not empty: it cannot be what it was put in the place of, and what to do

	Doubts   []string // what may be wrong with it, or with the set
	measured analyze.Measured
}

// Added measures recordings that were put in their places, one after the other
// for each test, weakest level first.
func Added(rn run.Runner, j *job.Job, r *job.Round, placed []Placed) ([]AddedReading, error) {
	rn.Dir = j.Dir
	var out, before []AddedReading
	for i, t := range r.Tests {
		rows, earlier, err := addedTo(rn, j, r, t, i, placed)
		if err != nil {
			return nil, err
		}
		out, before = append(out, rows...), append(before, earlier...)
	}
	oddOnesOut(out, before)
	return out, nil
}

// addedTo are the recordings that were put into one test, and those that it had
// before, if they were compared with them.
func addedTo(rn run.Runner, j *job.Job, r *job.Round, t job.Test, index int, placed []Placed) (added, before []AddedReading, err error) {
	kind, _ := job.KindOf(t.Kind)
	rising := seriesRises(t)
	var rows []AddedReading
	for _, p := range placed {
		if p.Test == index {
			row := AddedReading{Placed: p, Label: t.Label(), At: PlaceText(kind, p.Take, r.Conditions.LevelKind), Tone: p.Key == "" && !p.Whole && ToneDue(t, p.Take)}
			if p.Key != "" {
				row.At = "reference"
			}
			if p.Whole {
				row.At, row.Tone = "", kind.Holds == job.HoldsTone && len(t.AllTakes()) <= 1
			}
			rows = append(rows, row)
		}
	}
	if len(rows) == 0 {
		return nil, nil, nil
	}
	fresh := len(rows)
	for _, k := range t.AllTakes() { // what is there already takes part in the comparison
		if rising && k.File != "" && !t.OneFile() {
			rows = append(rows, AddedReading{Placed: Placed{File: k.File, Take: k}, Tone: true})
		}
	}
	failures := make([]error, len(rows))
	rn.InParallel(len(rows), func(i int) {
		rows[i].measured, failures[i] = looked(rn, rows[i].Take, rows[i].File, HowFor(j, t, rows[i].Take))
		rows[i].SINAD = rows[i].measured.Get(analyze.SINAD)
	})
	for i, err := range failures {
		switch {
		case err != nil && i < fresh: // one that was there before is for job check
			return nil, nil, err
		case err == nil && i < fresh:
			rows[i].suits(j, r, t)
		case err == nil:
			before = append(before, rows[i])
		}
	}
	if !rising {
		if kind.Point {
			mixed(rn, j, r, t, rows)
		}
		return rows, before, nil
	}
	slices.SortStableFunc(rows, func(x, y AddedReading) int { return byLevel(x.Take.Level, y.Take.Level) })
	markFalls(rows)
	if top := &rows[len(rows)-1]; top.Label != "" && top.Tone && top.measured.Rate > 0 && !top.SINAD.OK() && top.Wrong == "" {
		top.doubt("no tone stands out in it, the strongest of its series: right for a set that gives none, else check modulation and input")
	}
	return slices.DeleteFunc(rows, func(r AddedReading) bool { return r.Label == "" && r.Falls == "" }), before, nil
}

// mixed marks the recording whose reading contradicts the others of its series, where
// more than its SINAD tells.
func mixed(rn run.Runner, j *job.Job, r *job.Round, t job.Test, rows []AddedReading) {
	s := *t.Stanza
	s.Takes = slices.Clone(s.Takes)
	for _, row := range rows {
		s.Takes = append(s.Takes, row.Take)
	}
	t.Stanza = &s
	result, err := rn.Kind(j.Setup(r, t), run.Use{})
	if err != nil {
		return // what is missing yet is for job check
	}
	for _, w := range result.Warnings {
		if w.Code == capture.SeriesContradicts {
			rows[0].Falls = sentence.Of(w.Says)
		}
	}
}

// looked measures one recording, or the part of it that is used.
func looked(rn run.Runner, take job.Take, file string, how job.Reading) (analyze.Measured, error) {
	record := rn.MeasureFile(file, how, run.Use{From: take.From, To: take.To})[0]
	if record.Error != "" {
		return analyze.Measured{}, fmt.Errorf("%s: %s", file, record.Error)
	}
	return record.Measured, nil
}

// seriesRises tells whether a test is a series whose SINAD rises with the level.
func seriesRises(t job.Test) bool {
	k, _ := job.KindOf(t.Kind)
	return k.Rises && (t.Stanza.Criterion.Quantity == "" || t.Stanza.Criterion.Quantity == job.QuantitySINAD)
}

// HowFor says how a recording of a test is read.
func HowFor(j *job.Job, t job.Test, take job.Take) job.Reading {
	how := job.Reading{Mode: j.Set.Mode}
	if t.Stanza != nil {
		how.Filter, how.ToneHz, how.Deviation = t.Stanza.Filter, t.Stanza.ToneHz, t.Stanza.Deviation
	}
	if k, _ := job.KindOf(t.Kind); k.Axis == job.AxisTone && take.AtTyped != "" {
		how.ToneHz = take.At
	}
	return how
}

// ToneDue tells whether a recording that is no more than its place holds a tone.
func ToneDue(test job.Test, t job.Take) bool {
	k, _ := job.KindOf(test.Kind)
	switch {
	case test.Stanza.Criterion.Quantity == job.QuantityQuieting:
		return false
	case k.Point:
		return t.State != job.StateCarrier && t.Level.Scale != unit.Off
	case k.States:
		return t.State == job.StateModulated
	}
	return k.Holds == job.HoldsTone || k.Axis == job.AxisTone && t.AtTyped != ""
}

// byLevel orders levels, none first.
func byLevel(a, b unit.Level) int {
	switch {
	case a.Scale == unit.Off && b.Scale == unit.Off:
		return 0
	case a.Scale == unit.Off:
		return -1
	case b.Scale == unit.Off, a.DB > b.DB:
		return 1
	case a.DB < b.DB:
		return -1
	}
	return 0
}

// markFalls marks where the SINAD falls by more than its scatter while the level
// rises.
func markFalls(rows []AddedReading) {
	// Where the set is at its best already, a little less with more signal is no mistake.
	const best, little = 30, 3
	for i := range rows {
		if i == 0 || !rows[i-1].SINAD.OK() || rows[i-1].Take.Level == rows[i].Take.Level {
			continue
		}
		before, now := rows[i-1], rows[i]
		falls := !now.SINAD.OK() || now.SINAD.High < before.SINAD.Low
		matters := before.SINAD.Value < best || !now.SINAD.OK() || before.SINAD.Value-now.SINAD.Value > little
		if falls && matters {
			rows[i].Falls = fmt.Sprintf("%s: the SINAD falls from %s to %s while the level rises: check which recording is which", now.File, before.Take.TypedLevel(), now.Take.TypedLevel())
		}
	}
}
