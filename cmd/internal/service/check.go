package service

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"time"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
)

// calibrationDays is for how long a calibration counts: a year is common
// practice, no source.
const calibrationDays = 366

// Finding is what a job lacks, or where it contradicts itself.
type Finding struct {
	Round string // empty: the whole job
	Text  string
	Next  string // what to do about it
}

// Check lists what is still missing in a job and what contradicts itself.
// Recordings are opened to see what tone they carry.
func (s Service) Check(j *job.Job) []Finding {
	s.Dir = j.Dir
	var found []Finding
	add := func(round, text, next string) { found = append(found, Finding{round, text, next}) }
	if j.Set.Description == "" {
		add("", "the set is not described", `hisspoint job set set.description "..."`)
	}
	if j.AsFound == nil && j.AsLeft == nil {
		add("", "there is no round yet", "hisspoint job new, or add one with an editor")
	}
	used := map[string]string{}
	for _, r := range []struct {
		name  string
		round *job.Round
	}{{reports.AsFound, j.AsFound}, {reports.AsLeft, j.AsLeft}} {
		if r.round == nil {
			continue
		}
		if r.round.Tested == "" {
			add(r.name, "the date of the tests is missing", "hisspoint job set rounds."+r.name+".tested 2026-11-02")
		}
		for _, e := range j.AllEquipment() {
			if late(e.Calibrated, r.round.Tested) {
				add(r.name, fmt.Sprintf("the %s was calibrated on %s, more than a year before", e.What, e.Calibrated), "have it calibrated, or correct the date")
			}
		}
		any := false
		for _, t := range r.round.Tests {
			if t.Sensitivity != nil {
				any = true
				found = append(found, s.checkTest(r.name, t.Sensitivity, used)...)
			}
		}
		if !any {
			add(r.name, "there is no test of sensitivity", "add one with an editor")
		}
	}
	if j.AsFound != nil && j.AsLeft != nil && before(j.AsLeft.Tested, j.AsFound.Tested) {
		add("", fmt.Sprintf("as left (%s) is older than as found (%s)", j.AsLeft.Tested, j.AsFound.Tested), "correct one of the dates")
	}
	return found
}

func day(text string) (time.Time, bool) {
	t, err := time.Parse(time.DateOnly, text)
	return t, err == nil
}

func before(a, b string) bool {
	x, okA := day(a)
	y, okB := day(b)
	return okA && okB && x.Before(y)
}

func late(calibrated, tested string) bool {
	x, okA := day(calibrated)
	y, okB := day(tested)
	return okA && okB && y.Sub(x).Hours() > 24*calibrationDays
}

// checkTest looks at the recordings of one test; used remembers files over all.
func (s Service) checkTest(round string, t *job.SensitivityTest, used map[string]string) []Finding {
	var found []Finding
	add := func(text, next string) { found = append(found, Finding{round, text, next}) }
	if len(t.Takes) == 0 {
		add("no recordings yet", "hisspoint job add *.wav --round "+round)
		return found
	}
	levels := map[unit.Level]bool{}
	for _, take := range t.Takes {
		if levels[take.Level] {
			add("the level "+take.Typed+" is there twice", "correct one of them with an editor, or leave it as a repeat")
		}
		levels[take.Level] = true
	}
	if len(levels) < 2 {
		add("one level gives no point", "record more levels and add them")
	}
	seen := map[string]bool{}
	var files []string
	for _, take := range t.Takes {
		key := fmt.Sprintf("%s from %g", take.File, take.From)
		if t.Stepped && seen[take.File] {
			continue
		}
		seen[take.File] = true
		if where, twice := used[key]; twice {
			add(take.File+" is used twice"+where, "name the right recording with an editor")
			continue
		}
		used[key] = " (also in " + strings.ReplaceAll(round, "_", " ") + ")"
		if _, err := os.Stat(filepath.Join(s.Dir, filepath.FromSlash(take.File))); err != nil {
			add(take.File+" is not there", "copy it into the job's folder")
			continue
		}
		files = append(files, take.File)
	}
	return append(found, s.checkTones(round, t, files)...)
}

// checkTones compares the tone of each recording with the planned one.
func (s Service) checkTones(round string, t *job.SensitivityTest, files []string) []Finding {
	var found []Finding
	how := job.Reading{Filter: t.Filter, ToneHz: t.ToneHz}
	for _, r := range s.Measure(files, how, Use{}).Recordings {
		switch hz := r.Measured.Get(analyze.ToneFrequency); {
		case r.Error != "":
			found = append(found, Finding{round, r.File + ": " + r.Error, "record or copy it again"})
		case r.Measured.OtherTone != 0 && !hz.OK() && math.Abs(r.Measured.OtherTone/how.Tone()-1) > 0.05:
			found = append(found, Finding{round, fmt.Sprintf("%s has a tone of %.0f Hz, planned is %g Hz", r.File, r.Measured.OtherTone, how.Tone()), "set the tone of the test, or record again"})
		}
	}
	return found
}
