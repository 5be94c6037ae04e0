package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports/sentence"
)

// SteppedFile is one recording that was put in the place of a whole test, in which
// the generator was stepped through the test's levels.
type SteppedFile struct {
	Test   int // index among the tests of the round
	Levels []string
	Found  []SteppedPart
	Wrong  string   // not empty: the steps that were found do not fit the levels
	Doubts []string // what may be wrong with it
}

// SteppedPart is one step that was found in a recording.
type SteppedPart struct {
	Label    string // of the test
	At       string // its level, as typed; empty where the steps do not fit
	From, To float64
	Tone     bool // a tone is due in it
	SINAD    analyze.Reading
}

// Stepped looks for the steps of one recording as the test will, with all that the
// round and the equipment say of it. Nothing of the test may be recorded yet.
func Stepped(rn run.Runner, j *job.Job, r *job.Round, file string, asked Asked) (SteppedFile, error) {
	rn.Dir = j.Dir
	out := SteppedFile{Levels: asked.Places}
	var err error
	if out.Test, err = testFor(r, file, asked); err != nil {
		return out, err
	}
	t := r.Tests[out.Test]
	p := placer{test: t, level: r.Conditions.LevelKind}
	p.kind, _ = job.KindOf(t.Kind)
	switch {
	case p.kind.AxisKey() == "":
		return out, fmt.Errorf("%d places for 1 file: %s has one file and no places", len(asked.Places), t.Label())
	case asked.To != 0 || asked.MeasuredVolts != 0:
		return out, fmt.Errorf("%s: one recording with many levels is used whole: leave out --from, --to and --measured-volts", file)
	}
	if i := slices.IndexFunc(t.AllTakes(), func(k job.Take) bool { return k.File != "" }); i >= 0 {
		return out, fmt.Errorf("%s: %s has %s already, and one recording with many levels would take its place; take it out first", file, t.Label(), t.AllTakes()[i].File)
	}
	stepped := *t.Stanza
	stepped.OneFile, stepped.Takes = true, nil
	for _, text := range asked.Places {
		take, err := p.step(text, j.Set.Mode)
		if err != nil {
			return out, fmt.Errorf("%s: %w", file, err)
		}
		take.File = file
		stepped.Takes = append(stepped.Takes, take)
	}
	t.Stanza = &stepped
	result, err := rn.Kind(j.Setup(r, t), run.Use{})
	if err != nil {
		return out, err
	}
	out.found(result, t, p)
	return out, nil
}

// step is the place of one step of a recording. Where (S+N)/N is asked for, a step says
// whether it is modulated; of an SSB set all are.
func (p *placer) step(text, mode string) (job.Take, error) {
	if !p.kind.Point || p.test.Stanza.Criterion.Quantity != job.QuantitySNN {
		return p.parse(text)
	}
	if mode == job.SSB {
		take, err := p.parse(text)
		take.State = job.StateModulated
		return take, err
	}
	take, err := job.ParsePart(text, p.level)
	if err != nil {
		return take, fmt.Errorf("%w; (S+N)/N of an AM set needs two steps at each level, as --places \"1 uV modulated, 1 uV carrier\"", err)
	}
	return take, nil
}

// found takes what the analysis made of the recording.
func (f *SteppedFile) found(result analyze.Result, t job.Test, p placer) {
	rows, fits := slices.Clone(result.Rows), result.Why == "" && (result.Point == nil || result.Point.Status != analyze.StepsMismatch)
	switch {
	case result.Why != "":
		f.Wrong = t.Stanza.Takes[0].File + ": " + result.Why
	case !fits:
		f.Wrong, _, _ = strings.Cut(result.Point.Why, "; found: ")
		f.Wrong = t.Stanza.Takes[0].File + ": " + f.Wrong
	}
	slices.SortStableFunc(rows, func(a, b analyze.Used) int { return cmp.Compare(a.Take.From, b.Take.From) })
	rows = slices.CompactFunc(rows, func(a, b analyze.Used) bool { return a.Take.From == b.Take.From })
	for _, row := range rows {
		one := SteppedPart{Label: t.Label(), From: row.Take.From, To: row.Take.To, Tone: true, SINAD: row.Measured.Get(analyze.SINAD)}
		if fits {
			one.At, one.Tone = PlaceText(p.kind, row.Take, p.level), ToneDue(t, row.Take)
		}
		f.Found = append(f.Found, one)
		for _, w := range row.Measured.Warnings {
			text := fmt.Sprintf("%s, %.1f to %.1f s: %s", row.Take.File, row.Take.From, row.Take.To, sentence.Of(w.Says))
			if slices.Contains(told, w.Code) && !slices.Contains(f.Doubts, text) {
				f.Doubts = append(f.Doubts, text)
			}
		}
	}
}
