package takes

import (
	"hisspoint/analyze"
	"hisspoint/analyze/parts"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// The parts that one recording without a list is expected to have, the likeliest first.
var (
	QuietingParts = [][]string{
		{job.StateOff, job.StateCarrier, job.StateModulated, job.StateOff},
		{job.StateOff, job.StateCarrier, job.StateOff},
		{job.StateOff, job.StateCarrier},
	}
	OnOffParts = [][]string{
		{job.StateModulated, job.StateCarrier},
		{job.StateCarrier, job.StateModulated},
	}
)

// Switched finds the parts of a recording in which the signal was switched: those
// that the test lists, else one of some usual ones.
func Switched(usual ...[]string) finder {
	return func(t job.Setup, r capture.Recording) (rows []analyze.Used, err error) {
		var first error
		for _, states := range listedStates(t, usual) {
			found, err := parts.Parts(r, t.Reading, states)
			if err != nil && !parts.IsMisfit(err) {
				return nil, err
			}
			now := partRows(t, r, found)
			if err == nil {
				return now, nil
			}
			if first == nil {
				first, rows = err, now
			}
		}
		return rows, first
	}
}

// listedStates are the states that the test lists, else the usual ones.
func listedStates(t job.Setup, usual [][]string) [][]string {
	if !t.OneFile {
		return usual
	}
	var states []string
	for _, k := range t.Takes {
		states = append(states, k.State)
	}
	return [][]string{states}
}

// partRows are the parts of a recording as rows of the test.
func partRows(t job.Setup, r capture.Recording, found []parts.PartFound) []analyze.Used {
	var rows []analyze.Used
	for i, p := range found {
		k := stretch(t, r, p.Part, i, len(found))
		k.State = p.State
		rows = append(rows, analyze.Used{Take: k, Label: TakeLabel(k, t.LevelKind), Measured: p.Measured})
	}
	return rows
}

// stretch is a part of a recording as the test's take of that number, if there
// are as many parts as takes; else it is known by its place only.
func stretch(t job.Setup, r capture.Recording, p parts.Part, i, n int) job.Take {
	k := job.Take{Level: unit.Level{Scale: unit.Off}}
	if t.OneFile && n == len(t.Takes) {
		k = t.Takes[i]
	}
	k.File, k.From, k.To = r.Origin.File, p.From, p.To
	return k
}

// SteppedBy measures the plateaus of a recording that find tells, in the order
// of the test's takes; without a list their number is found.
func SteppedBy(find func(r capture.Recording, n int, how job.Reading) ([]parts.Part, error)) finder {
	return func(t job.Setup, r capture.Recording) ([]analyze.Used, error) {
		n := 0
		if t.OneFile {
			n = len(t.Takes)
		}
		stretches, failed := find(r, n, t.Reading)
		var rows []analyze.Used
		for i, p := range stretches {
			m, err := parts.Measure(r, p, t.Reading)
			if err != nil {
				return nil, err
			}
			k := stretch(t, r, p, i, len(stretches))
			rows = append(rows, analyze.Used{Take: k, Label: TakeLabel(k, t.LevelKind), Measured: m})
		}
		return rows, failed
	}
}
