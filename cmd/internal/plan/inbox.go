package plan

import (
	"fmt"
	"math"
	"path"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/cmd/internal/run"
)

// Guess is where a recording may belong, though its name does not tell for sure.
type Guess struct {
	File  string
	Test  string // as --test takes it; empty: nothing speaks for one
	Label string // of the test, for people
	Place string // its place in it as typed; empty: the whole test
	Needs string // what has to be said yet: "level"; empty: nothing
	Why   string // what it goes by, or why there is no guess
}

// soundEndings are those of files that may be recordings.
var soundEndings = []string{".wav", ".wave", ".flac"}

// Recordings are the files that may be recordings by their endings: what a pattern such
// as * takes in besides, as the job's file and its reports, is none of them.
func Recordings(files []string) (sound, others []string) {
	for _, f := range files {
		if slices.Contains(soundEndings, strings.ToLower(path.Ext(f))) || path.Ext(f) == "" {
			sound = append(sound, f)
		} else {
			others = append(others, f)
		}
	}
	return sound, others
}

// RoundInName is the round that the name of a file speaks of, empty if it speaks of none.
func RoundInName(file string) string {
	words := wordsOf(file)
	switch {
	case slices.Contains(words, "before"), slices.Contains(words, "found"):
		return job.AsFound
	case slices.Contains(words, "after"), slices.Contains(words, "as") && slices.Contains(words, "left"):
		return job.AsLeft
	}
	return ""
}

// Sort puts the recordings in their places that can be, test by test, and tells of the
// others why they cannot.
func Sort(rn run.Runner, j *job.Job, r *job.Round, files []string) (placed []Placed, rest map[string]error) {
	rn.Dir = j.Dir
	rest = map[string]error{}
	groups := make([][]string, len(r.Tests))
	for _, f := range files {
		i, err := testFor(r, f, Asked{})
		if readable := rn.Readable(f); readable != nil {
			err = readable
		}
		if err != nil {
			rest[f] = err
			continue
		}
		groups[i] = append(groups[i], f)
	}
	for i, g := range groups {
		if len(g) == 0 {
			continue
		}
		one, err := Place(r, g, Asked{Test: TypedTest(r.Tests[i])})
		if err == nil {
			placed = append(placed, one...)
			continue
		}
		for _, f := range g { // one that does not fit keeps none of the others out
			one, alone := Place(r, []string{f}, Asked{Test: TypedTest(r.Tests[i])})
			switch {
			case alone != nil:
				rest[f] = alone
			case one[0].Whole:
				rest[f] = err
			default:
				placed = append(placed, one...)
			}
		}
	}
	return placed, rest
}

// Guesses says of each recording where it may belong: by words in its name that the plan
// has no test for, or by what is heard in it. taken are tests that others have got by now.
func Guesses(rn run.Runner, j *job.Job, r *job.Round, files []string) []Guess {
	rn.Dir = j.Dir
	taken := map[int]bool{}
	var out []Guess
	for _, f := range files {
		g := Guess{File: f}
		if err := rn.Readable(f); err != nil {
			g.Why = err.Error()
		} else if !g.byName(r, j.Set.Mode) {
			g.bySound(rn, j, r, taken)
		}
		out = append(out, g)
	}
	return out
}

// byName takes the test that words in the name speak of.
func (g *Guess) byName(r *job.Round, mode string) bool {
	if i, err := guess(r, g.File); err == nil && i >= 0 {
		g.of(r.Tests[i], "its name says "+r.Tests[i].Label())
		k, _ := job.KindOf(r.Tests[i].Kind)
		if !k.Single && len(r.Tests[i].Missing()) == 0 || r.Tests[i].OneFile() && !r.Tests[i].Planned() {
			g.Needs = (&placer{kind: k}).axis()
		}
		return true
	}
	all := &job.Round{}
	for _, k := range job.Kinds() {
		if k.Fits(mode) {
			all.Tests = append(all.Tests, job.Test{Kind: k.Name})
		}
	}
	i, err := guess(all, g.File)
	if err != nil || i < 0 {
		return false
	}
	g.of(all.Tests[i], "its name says "+all.Tests[i].Label()+", which the plan lacks")
	return true
}

func (g *Guess) of(t job.Test, why string) { g.Test, g.Label, g.Why = TypedTest(t), t.Label(), why }

// bySound takes the first test of the plan, not recorded yet, that the recording can be of.
func (g *Guess) bySound(rn run.Runner, j *job.Job, r *job.Round, taken map[int]bool) {
	record := rn.MeasureFile(g.File, job.Reading{Mode: j.Set.Mode}, run.Use{})[0]
	if record.Error != "" {
		g.Why = record.Error
		return
	}
	m := record.Measured
	if peak := m.Get(analyze.Peak); !peak.OK() || math.IsInf(peak.Value, -1) {
		g.Why = "every sample is zero: check input, cable and mute"
		return
	}
	for i, t := range r.Tests {
		if taken[i] || !t.Planned() || t.Stanza == nil {
			continue
		}
		if why := heardAs(rn, j, r, t, g.File, m); why != "" {
			taken[i] = true
			g.of(t, why)
			return
		}
	}
	tone := m.Get(analyze.ToneFrequency)
	i := FindTest(r, job.KindSensitivity)
	if m.Get(analyze.SINAD).OK() && tone.OK() && i >= 0 {
		g.of(r.Tests[i], fmt.Sprintf("a steady tone of %.0f Hz for %.1f s, at a level that nothing tells", tone.Value, m.To-m.From))
		g.Needs = job.AxisLevel
		return
	}
	g.Why = fmt.Sprintf("neither its name nor its sound (%.1f s) tells where it belongs: give --test, as --test hiss", m.To-m.From)
}

// heardAs says why a recording can be the whole of a test, empty if it cannot.
func heardAs(rn run.Runner, j *job.Job, r *job.Round, t job.Test, file string, m analyze.Measured) string {
	kind, _ := job.KindOf(t.Kind)
	tone := m.Get(analyze.SINAD).OK()
	switch {
	case kind.Name == job.KindSquelch:
		if result, ok := tried(rn, j, r, t, file); ok && len(result.Events) > 1 {
			return fmt.Sprintf("the audio opens and closes %d times", len(result.Events))
		}
	case t.OneFile():
		if result, ok := tried(rn, j, r, t, file); ok && result.Point == nil {
			return fmt.Sprintf("its %d parts were found", len(result.Rows))
		}
	case kind.Axis == job.AxisTone && !tone:
		if result, ok := tried(rn, j, r, t, file); ok && len(result.Rows) > 3 {
			return fmt.Sprintf("%d tones were found", len(result.Rows))
		}
	case kind.Holds == job.HoldsSilence && !tone && m.OtherTone == 0:
		return "no tone is in it"
	case kind.Holds == job.HoldsSpeech && !tone && m.OtherTone == 0 && m.To-m.From >= shortestSpeech:
		return fmt.Sprintf("no tone for %.0f s", m.To-m.From)
	}
	return ""
}

// tried runs a test on one file; ok tells whether the file can be all of it.
func tried(rn run.Runner, j *job.Job, r *job.Round, t job.Test, file string) (result analyze.Result, ok bool) {
	s := *t.Stanza
	s.Takes = slices.Clone(s.Takes)
	for i := range s.Takes {
		s.Takes[i].File = file
	}
	if len(s.Takes) == 0 {
		s.Takes = []job.Take{{File: file}}
	}
	t.Stanza = &s
	result, err := rn.Kind(j.Setup(r, t), run.Use{})
	return result, err == nil && result.Why == "" && len(result.Rows)+len(result.Events) > 0
}

// Command is the command that adds the recording where it is guessed to belong.
func (g Guess) Command(round string) string {
	quote := func(s string) string {
		if strings.ContainsAny(s, " ()'&;$*?\"") {
			return fmt.Sprintf("%q", s)
		}
		return s
	}
	file := g.File
	if strings.HasPrefix(file, "-") {
		file = "./" + file
	}
	test := g.Test
	if test == "" {
		test = "TEST"
	}
	text := "hisspoint job add " + quote(file) + " --test " + quote(test) + " --round " + round
	switch {
	case g.Place != "":
		text += " --places " + quote(g.Place)
	case g.Needs != "":
		text += " --places " + strings.ToUpper(g.Needs)
	}
	return text
}
