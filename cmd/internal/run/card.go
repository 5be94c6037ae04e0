package run

import (
	"os"
	"path/filepath"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/card"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/jobfile/cardfile"
	"hisspoint/capture/note"
)

// highest is how many folders up from a recording a job's folder is looked for.
const highest = 3

// cardOf is the sound card that a recording was made with: the one that was named
// for all of them, else that of the card.json in its folder, else of the job's
// folder that it lies in. nil: nothing tells.
func (rn Runner) cardOf(name string) (*job.Qualified, error) {
	if rn.NoCard || rn.Card != nil || name == "-" {
		return rn.Card, nil
	}
	top := ""
	if rn.Dir != "" {
		top = filepath.Clean(rn.Dir)
	}
	dir := filepath.Dir(filepath.Join(rn.Dir, name))
	for up := 0; up <= highest; up++ {
		here := filepath.Clean(dir)
		_, err := os.Stat(filepath.Join(here, jobfile.Name))
		jobs := err == nil || here == top
		if up == 0 || jobs {
			if q, err := cardfile.In(here); q != nil || err != nil {
				return q, err
			}
		}
		if jobs {
			break
		}
		dir = filepath.Join(dir, "..")
	}
	return nil, nil
}

// Tied tells whether something says which sound card a recording was made with.
func (rn Runner) Tied(name string) bool {
	q, err := rn.cardOf(name)
	return q != nil || err != nil
}

// cardOfFiles is the sound card of several recordings; why says that they were
// made with different ones, so that no one is theirs.
func (rn Runner) cardOfFiles(files []string) (q *job.Qualified, why string, err error) {
	for _, f := range files {
		one, err := rn.cardOf(f)
		switch {
		case err != nil:
			return nil, "", err
		case one == nil:
		case q == nil:
			q = one
		case !q.SameAs(one):
			return nil, "some of its recordings were made with " + q.Label() + " and some with " + one.Label(), nil
		}
	}
	return q, "", nil
}

// tied is how recordings are read, with the sound card that made them.
func (rn Runner) tied(how job.Reading, files ...string) (job.Reading, error) {
	if how.Card != nil {
		return how, nil
	}
	var err error
	how.Card, _, err = rn.cardOfFiles(files)
	return how, err
}

// cardWarnings are what a recording's sound card does to its readings.
func cardWarnings(q *job.Qualified, m analyze.Measured) []capture.Warning {
	if w, differs := card.OtherRate(q, m); differs {
		return []capture.Warning{w}
	}
	return card.Limits(q, m)
}

// inVolts is a reading with the card's calibration, where none was given.
func inVolts(how job.Reading, rate int) job.Reading {
	if q := how.Card; q != nil && how.FullScaleVolts == 0 && q.Card.FullScaleVolts != nil && q.Card.RateHz == rate {
		how.FullScaleVolts = *q.Card.FullScaleVolts
	}
	return how
}

// carded is the round with the sound card that recorded it. One that does not hold
// for the round is left out, with a warning.
func (rn Runner) carded(j *job.Job, r *job.Round) (*job.Round, []capture.Warning, error) {
	var files []string
	for _, t := range r.Tests {
		files = append(files, t.Files()...)
	}
	slices.Sort(files)
	q, why, err := rn.cardOfFiles(slices.Compact(files))
	if err != nil {
		return r, nil, err
	}
	noVolts := false
	if q != nil {
		why, noVolts = j.CardMisfit(r, q)
	}
	with := *r
	if why == "" {
		with.Conditions.Card = q
		return &with, nil, nil
	}
	text := why + "; what the card adds is not known then and left out: qualify it again with hisspoint card at the gain of the recordings"
	if noVolts {
		with.Conditions.NoVolts = why
		text = why + "; levels are not given in volts, and what the card adds is not known and left out: read the meter again, and qualify the card at the gain of the recordings"
	}
	return &with, []capture.Warning{{Code: capture.CardMismatch, Says: note.Phrase(text)}}, nil
}

// oneCard tells whether two rounds were recorded with one sound card: where nothing
// is known of either, what the job says of its card holds for both.
func oneCard(before, after *job.Qualified) bool {
	return before == nil && after == nil || before.SameAs(after)
}

// otherDevice tells whether two rounds were recorded by different inputs, so that
// their levels in dBFS are of two scales.
func otherDevice(before, after *job.Qualified) bool {
	return before != nil && after != nil && (before.ID != after.ID || before.Name != after.Name)
}
