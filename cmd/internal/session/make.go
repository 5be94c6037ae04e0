package session

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/signal"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/live"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports/doc/bench"
	"hisspoint/reports/sentence"
)

// stepKey tells steps apart within a session. All levels of an open test are one.
func stepKey(s live.Step) string {
	if s.Open {
		return fmt.Sprintf("%d open", s.Test)
	}
	return fmt.Sprintf("%d %d", s.Test, s.Index)
}

// about is what the person is told of a step.
func (s *Session) about(r *job.Round, step live.Step) bench.Recording {
	t := r.Tests[step.Test]
	out := bench.Recording{Label: step.Label, Kind: step.Kind, Take: step.Take, Conditions: r.Conditions, Seconds: s.lasts(r, step), File: step.File}
	if t.Stanza != nil {
		out.Tone, out.Deviation, out.Depth = t.Stanza.ToneHz, t.Stanza.Deviation, t.Stanza.Depth
		out.Level, out.LevelTyped = t.Stanza.Level, t.Stanza.LevelTyped
	}
	return out
}

func (s *Session) texts(r *job.Round, step live.Step) []string {
	if _, _, here := s.wanted(r, step); here || len(step.Places) == 0 {
		about := s.about(r, step)
		about.Signal = s.signalText(r, step)
		return bench.RecordingText(about)
	}
	about := s.about(r, step)
	about.Take = step.Places[0]
	lines := append([]string{"one long recording; begin with:"}, bench.RecordingText(about)...)
	return append(lines, fmt.Sprintf("then %d more settings, each told when it is due", len(step.Places)-1))
}

// first shows before the first recording of a round how the bench is wired.
func (s *Session) first(r *job.Round) error {
	if s.wired {
		return nil
	}
	s.wired = true
	if live.AnyRecorded(s.dir, r) {
		return nil // it was shown before the first recording of the round
	}
	return s.wiring(r)
}

func (s *Session) wiring(r *job.Round) error {
	sheet := bench.WiringFor(r.Conditions.Load)
	_, err := s.ask("wiring: "+sheet.Title, sheet.Short(), "Press Enter when this is done:", nil, bench.WiringHelp)
	return err
}

// ask asks, and explains the step first where that is what the person wants.
func (s *Session) ask(title string, text []string, prompt string, ready func() bool, help []string) (string, error) {
	for {
		answer, err := s.desk.ask(title, text, prompt, ready)
		if err != nil || answer != "?" {
			return answer, err
		}
		if _, err := s.desk.ask("help: "+title, help, "Enter goes on:", nil); err != nil {
			return "", err
		}
	}
}

// dummy asks for the word without which no transmitter is keyed.
func (s *Session) dummy() error {
	for {
		answer, err := s.ask("before the transmitter is keyed", bench.DummyText(), "type "+bench.DummyWord+" when it is so (q stop):", nil, bench.DummyHelp)
		if err != nil {
			return err
		}
		switch strings.ToLower(answer) {
		case bench.DummyWord:
			s.keyed = true
			return nil
		case "q":
			return errStopped
		}
	}
}

// settled answers by itself, if that was asked for, once the sound stands still at
// another level than at the last recording.
func (s *Session) settled() func() bool {
	if !s.Auto || len(s.history) == 0 {
		return nil
	}
	before := s.heard
	return func() bool { return s.feed.Settled(before) }
}

// really takes what was really set in place of what was asked for.
func (s *Session) really(r *job.Round, step live.Step, text string) (live.Step, error) {
	switch {
	case step.Whole || len(step.Places) > 0:
		return step, fmt.Errorf("%q is none of the keys", text)
	case step.Kind.Axis == job.AxisLevel:
		kind := r.Conditions.LevelKind
		if kind == "" {
			kind = unit.PD
		}
		l, err := unit.ParseLevel(text, kind)
		if err != nil {
			return step, err
		}
		step.Take.Level, step.Take.Typed = l, text
	case step.Kind.States:
		t, err := job.ParsePart(text, r.Conditions.LevelKind)
		if err != nil {
			return step, err
		}
		step.Take = t
	default:
		at, err := job.ParseAt(step.Kind.Axis, text)
		if err != nil {
			return step, err
		}
		step.Take.At, step.Take.AtTyped = at, text
	}
	if !step.Named {
		step.File = live.FileName(s.Round, step.Kind.Name, r.Tests[step.Test].Name, step.Kind.Place(step.Take))
	}
	return step, nil
}

// record makes the recording, looks at it and keeps it in the job; again tells to
// make it once more.
func (s *Session) record(j *job.Job, r *job.Round, step live.Step) (again bool, err error) {
	file := live.Free(j.Dir, step.File)
	take, err := live.NewTake(filepath.Join(j.Dir, filepath.FromSlash(file)), s.input.Format())
	if err != nil {
		return false, err
	}
	x, err := s.take(r, step, take)
	var unplayed playError
	switch {
	case errors.As(err, &unplayed):
		take.Drop()
		return true, s.notPlayed(unplayed)
	case err == errStopped:
		take.Keep()
		return false, err
	case err != nil:
		if kept := take.Keep(); kept != "" {
			err = fmt.Errorf("%w; %s", err, kept)
		}
		return false, err
	}
	if err := take.Finish(); err != nil {
		return false, err
	}
	keep, err := s.look(j, r, step, x, file)
	if err != nil || !keep {
		return true, err
	}
	step.Take.File = file
	if err := s.enter(j.Dir, r, step, file); err != nil {
		return false, err
	}
	s.heard = s.feed.Level()
	s.history = append(s.history, made{step, file})
	return false, nil
}

// take records one place, or all places of one long recording; it gives the signal
// that was played, if that is one with an end.
func (s *Session) take(r *job.Round, step live.Step, take *live.Take) (played signal.Signal, err error) {
	if w, _, here := s.wanted(r, step); here {
		return s.takePlayed(r, step, w, take)
	}
	title, lasts := bench.RecordingTitle(s.about(r, step)), s.lasts(r, step)
	if len(step.Places) == 0 {
		return played, s.desk.wait(title, s.texts(r, step), s.counted("recording", lasts), s.feed.Record(take, int64(lasts*float64(s.input.Format().Rate))))
	}
	done := s.feed.Record(take, -1)
	defer s.feed.Stop()
	for i := range step.Places {
		about := s.about(r, step)
		if i > 0 {
			about.Take = step.Places[i]
			text := append([]string{fmt.Sprintf("setting %d of %d, the recording goes on:", i+1, len(step.Places))}, bench.RecordingText(about)...)
			if _, err := s.desk.ask(bench.RecordingTitle(about), text, "Enter when it is set:", nil); err != nil {
				return played, err
			}
		}
		text := []string{fmt.Sprintf("setting %d of %d: leave all as it is", i+1, len(step.Places))}
		if err := s.desk.wait(bench.RecordingTitle(about), text, s.counted("recording", s.Seconds), s.feed.After(s.Seconds, done)); err != nil {
			return played, err
		}
	}
	s.feed.Stop()
	return played, <-done
}

// look reads the recording at once and asks whether to keep it where something
// speaks against it.
func (s *Session) look(j *job.Job, r *job.Round, step live.Step, x signal.Signal, file string) (keep bool, err error) {
	how := j.Setup(r, r.Tests[step.Test]).Reading
	w, _, here := s.wanted(r, step)
	if step.Kind.Axis == job.AxisTone && step.Take.At > 0 {
		how.ToneHz = step.Take.At
	}
	m := run.Runner{Dir: j.Dir}.Measure([]string{file}, how, run.Use{}).Recordings[0]
	if m.Error != "" {
		return false, fmt.Errorf("%s: %s", file, m.Error)
	}
	line, against := bench.RecordingResult(m.Measured)
	lacking := lacks(step, m.Measured, here && w.Steady)
	if note, near := live.CardNote(s.input.Device().ID, m.Measured); near && !slices.Contains(against, sentence.Of(note.Says)) {
		against = append(against, sentence.Of(note.Says))
	}
	switch {
	case x.Samples != nil:
		if line, against, err = s.lookPlayed(j, r, step, w, x, file, m.Measured); err != nil {
			return false, err
		}
		lacking = nil
	case here: // a steady tone
	case len(step.Places) > 0 || step.Whole: // it changes on purpose
		against = nil
		for _, w := range m.Measured.Warnings {
			if w.Code != capture.Unsteady && w.Code != capture.GainChanged && w.Code != capture.ChannelsIdentical {
				against = append(against, sentence.Of(w.Says))
			}
		}
	}
	against = append(against, lacking...)
	if line == "" {
		line = "no sound"
	}
	fmt.Fprintf(s.Out, "%s: %s\n", file, line)
	if len(against) == 0 {
		return true, nil
	}
	text := append([]string{line}, against...)
	answer, err := s.desk.ask("look at "+file, text, "Enter keeps it, r records again:", nil)
	return !strings.EqualFold(answer, "r"), err
}

// lacks says what a recording of its kind ought to hold and does not.
func lacks(step live.Step, m analyze.Measured, played bool) []string {
	modulated := step.Take.State == job.StateModulated || step.Kind.Point && step.Take.Level.Scale != unit.Off && step.Take.State != job.StateCarrier
	tone := m.Get(analyze.ToneFrequency).OK()
	switch {
	case played && !tone:
		return []string{"the tone that was played is not in it: was the output connected, the transmitter keyed, the monitor on, the level high enough?"}
	case modulated && !tone:
		return []string{"no tone is heard in it: was the modulation on, and the signal not far below the criterion?"}
	case tone && silentHere(step):
		return []string{"a tone is heard in it where none belongs: was the modulation off, or the volume at zero?"}
	}
	return nil
}

// silentHere tells whether a recording ought to hold no tone.
func silentHere(step live.Step) bool {
	return step.Kind.Toneless() || len(step.Places) == 0 && (step.Take.State == job.StateOff || step.Take.State == job.StateCarrier)
}

// enter writes the recording into the job file, into its own lines only.
func (s *Session) enter(dir string, r *job.Round, step live.Step, file string) error {
	t := r.Tests[step.Test]
	return jobfile.Edit(s.Job, "hisspoint record: "+file, func(l *jobfile.Lines) error {
		k, err := jobfile.Identity(dir, file)
		if err != nil {
			return err
		}
		if err := l.Keep(k); err != nil {
			return err
		}
		if step.Named && file == step.File { // the job names it already
			return nil
		}
		if step.Whole {
			return l.SetTest(s.Round, step.Test, job.KeyFile, file)
		}
		if err := l.Record(s.Round, step.Test, t, step.Index, step.Take); err != nil {
			return err
		}
		for _, old := range t.Files() { // one that this takes the place of
			if err := l.Forget(old); err != nil {
				return err
			}
		}
		return nil
	})
}
