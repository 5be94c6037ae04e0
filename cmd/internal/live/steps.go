package live

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Step is one recording that a job still lacks.
type Step struct {
	Test   int // index in the round
	Kind   job.Kind
	Label  string
	Take   job.Take
	Index  int        // of the take in its test; that of a new one lies behind the last
	Places []job.Take // the stretches of one long recording, in their order; nil: one place
	Whole  bool       // the test has this one file
	Named  bool       // the job file names the file already
	Open   bool       // the level is proposed from the readings so far
	File   string     // from the job's folder
}

// Steps are the recordings that a round lacks, receive tests first. A sensitivity
// test without planned levels becomes one open step.
func Steps(dir, roundName string, r *job.Round) []Step {
	var receive, transmit []Step
	for i, t := range r.Tests {
		if _, left := r.LeftOut(t); left {
			continue
		}
		kind, _ := job.KindOf(t.Kind)
		steps := stepsOf(dir, roundName, i, t, kind)
		if kind.Transmit {
			transmit = append(transmit, steps...)
		} else {
			receive = append(receive, steps...)
		}
	}
	return append(receive, transmit...)
}

func stepsOf(dir, round string, index int, t job.Test, kind job.Kind) []Step {
	base := Step{Test: index, Kind: kind, Label: t.Label()}
	takes := t.AllTakes()
	open := kind.Point // its levels show while it is recorded
	one := func(s Step, place string) Step {
		if s.File == "" {
			s.File = FileName(round, kind.Name, t.Name, place)
		}
		return s
	}
	switch {
	case t.OneFile() && len(takes) > 0:
		s := base
		s.Places, s.Whole, s.File, s.Named = takes, true, takes[0].File, takes[0].File != ""
		if s.Named && there(dir, s.File) {
			return nil
		}
		return []Step{one(s, "")}
	case len(takes) == 0 && open:
		s := base
		s.Open = true
		return []Step{s}
	case len(takes) == 0 && kind.Single:
		s := base
		s.Whole = true
		return []Step{one(s, "")}
	}
	var out []Step
	for i, k := range takes {
		s := base
		s.Take, s.Index, s.File, s.Named = k, i, k.File, k.File != ""
		if t.Stanza.Criterion.Quantity == job.QuantityQuieting && k.Level.Scale != unit.Off {
			s.Take.State = job.StateCarrier // nothing is modulated for quieting
		}
		s.Whole = kind.Single && len(takes) == 1 && kind.Place(k) == ""
		if !s.Named || !there(dir, s.File) {
			out = append(out, one(s, kind.Place(k)))
		}
	}
	if open {
		s := base
		s.Open, s.Index = true, len(takes)
		out = append(out, s)
	}
	return out
}

func there(dir, file string) bool {
	_, err := os.Stat(filepath.Join(dir, filepath.FromSlash(file)))
	return err == nil
}

// AnyRecorded tells whether a round has a recording already.
func AnyRecorded(dir string, r *job.Round) bool {
	for _, t := range r.Tests {
		for _, file := range t.Files() {
			if there(dir, file) {
				return true
			}
		}
	}
	return false
}

var notInNames = regexp.MustCompile(`[^A-Za-z0-9.+-]+`)

// FileName is what a recording is called, from the job's folder:
// as-left/sensitivity_-97dBm.wav.
func FileName(round, kind, name, place string) string {
	text := strings.ReplaceAll(kind, "_", "-")
	place = strings.ReplaceAll(unit.Plain(place), " ", "")
	for _, part := range []string{name, place} {
		// The sign of a level is no hyphen between words, and stays.
		if part = strings.TrimRight(notInNames.ReplaceAllString(part, "-"), "-."); part != "" {
			text += "_" + part
		}
	}
	return strings.ReplaceAll(round, "_", "-") + "/" + text + ".wav"
}

// Free is a name that no file has yet: rx.wav, rx-2.wav, ...
func Free(dir, file string) string {
	base, ext := strings.TrimSuffix(file, filepath.Ext(file)), filepath.Ext(file)
	for n := 2; there(dir, file); n++ {
		file = fmt.Sprintf("%s-%d%s", base, n, ext)
	}
	return file
}

// A series begins so many dB above the limit, or at this level at the set where
// there is none: 3 µV PD, where a set in order is clear and a deaf one is heard.
const (
	aboveLimitDB = 6
	startDBm     = -97.5
)

// StartLevel is the generator's level at which a sensitivity test begins.
func StartLevel(t job.Setup, profiles []job.Profile) float64 {
	if l := t.Pick(job.QuantitySensitivity, profiles); len(l) > 0 && l[0].Unit == "dBm" {
		return l[0].Value + aboveLimitDB + t.Path.PadDB
	}
	return startDBm + t.Path.PadDB
}
