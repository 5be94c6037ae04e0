package session

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"hisspoint/analyze"
	"hisspoint/analyze/watch"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/signal"
	"hisspoint/capture/soundcard"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/live"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports/doc/bench"
	"hisspoint/reports/sentence"
)

// How long a recording runs before a signal is played and after it, for what lies
// between output and input, and before a signal that is played by other means.
const (
	leadSeconds  = 0.5
	quietSeconds = 0.5 // of silence before a signal: outputs swallow the first tenths of what they play
	tailSeconds  = 1.0
	spareSeconds = 3.0 // for what the system holds of a sound
	tuneSeconds  = 1.0 // of a steady tone before the recording begins
	handySeconds = 8.0
)

// sounding is what a session plays on.
type sounding struct {
	player *live.Player // nil: nothing can be played
	why    string       // and why not
	off    bool         // the person plays by other means
	level  float64      // dBFS
	volts  float64      // RMS of a full-scale sine where it goes; 0: not known
	into   string       // where the person said that the output is connected
}

// openSounding opens the output. One that was named and is not there is an error;
// without any, the person is told how to play by other means.
func openSounding(in *live.Opened, how Settings) (sounding, error) {
	var s sounding
	var err error
	if strings.TrimSpace(how.OutputVolts) != "" {
		if s.volts, err = unit.ParseVolts(how.OutputVolts); err != nil {
			return s, fmt.Errorf("--output-volts: %w", err)
		}
	}
	if s.level, err = playedLevel(how.Level, s.volts); err != nil {
		return s, fmt.Errorf("--level: %w", err)
	}
	if strings.EqualFold(how.Output, live.OutputNone) {
		s.off = true
	}
	name := how.Output
	if s.off {
		name = ""
	}
	if s.player, err = in.Player(name); err != nil {
		if name != "" {
			return s, fmt.Errorf("--output: %w", err)
		}
		s.why = err.Error()
	}
	return s, nil
}

// playedLevel reads a level, and refuses what cannot be played.
func playedLevel(text string, volts float64) (float64, error) {
	v, err := live.SignalLevel(text, volts)
	if err == nil && (v < live.LowestPlayed || v > live.LoudestPlayed) {
		err = fmt.Errorf("%s is not within %g to %g dBFS", text, live.LowestPlayed, live.LoudestPlayed)
	}
	return v, err
}

// wanted is the signal that a step wants, and whether it is played here.
func (s *Session) wanted(r *job.Round, step live.Step) (w live.Wanted, wanted, here bool) {
	w, wanted = live.WantedFor(step, r.Tests[step.Test], s.sound.volts)
	return w, wanted, wanted && s.sound.player != nil && !s.sound.off
}

func (s *Session) playing(w live.Wanted) bench.Playing {
	p := bench.Playing{Kind: w.Kind, Hz: w.Hz, Seconds: w.Seconds, LevelDBFS: w.Level(s.sound.level), Own: w.Own, Volts: s.sound.volts,
		Microphone: w.Into == live.IntoMicrophone, File: w.File}
	if x := s.sound.player; x != nil {
		p.Output, p.Loop, p.Turned = x.Device.Name, x.Loop, x.Device.Turned
	}
	return p
}

// signalText is what is said of a step's signal.
func (s *Session) signalText(r *job.Round, step live.Step) []string {
	w, wanted, here := s.wanted(r, step)
	switch {
	case here:
		return s.playing(w).Text()
	case wanted:
		return s.playing(w).ByOtherMeans(s.sound.why)
	}
	return nil
}

// lasts is how long a recording takes in seconds.
func (s *Session) lasts(r *job.Round, step live.Step) float64 {
	w, wanted, here := s.wanted(r, step)
	switch {
	case !wanted || w.Steady:
		return s.Seconds
	case here:
		return leadSeconds + quietSeconds + w.Seconds + tailSeconds
	case len(step.Places) > 0:
		return s.Seconds
	}
	return w.Seconds + handySeconds
}

// patched makes sure that the output is connected to where a signal goes. The word
// for the dummy load comes before it where that is the microphone socket.
func (s *Session) patched(r *job.Round, step live.Step) error {
	w, _, here := s.wanted(r, step)
	if !here || s.sound.into == w.Into {
		return nil
	}
	p := s.playing(w)
	for {
		prompt := "Press Enter when this is done (n play nothing, q stop):"
		if !p.Microphone {
			prompt = "type " + bench.GeneratorWord + " when it is so (n play nothing, q stop):"
		}
		answer, err := s.ask("where the test signal goes", bench.PatchText(p), prompt, nil, bench.PatchHelp)
		if err != nil {
			return err
		}
		switch strings.ToLower(answer) {
		case "q":
			return errStopped
		case "n":
			s.sound.off = true
			return nil
		case "", bench.GeneratorWord:
			if p.Microphone == (answer == "") {
				s.sound.into = w.Into
				return nil
			}
		}
	}
}

// played takes an answer that is about the signal; ok is false if it is not.
func (s *Session) played(r *job.Round, step live.Step, answer string) (ok bool, err error) {
	w, wanted, here := s.wanted(r, step)
	text := strings.ToLower(answer)
	switch {
	case !wanted || s.sound.player == nil:
		return false, nil
	case text == "n":
		s.sound.off = !s.sound.off
		return true, nil
	case !here || w.Own:
		return false, nil
	case text == "p":
		return true, s.tune(w)
	case strings.HasSuffix(text, "dbfs"), s.sound.volts > 0 && strings.HasSuffix(text, "v") && step.Kind.Axis != job.AxisInput:
		s.sound.level, err = keptLevel(s.sound.level)(playedLevel(answer, s.sound.volts))
		if err != nil {
			_, err = s.desk.ask("not understood", []string{err.Error()}, "Enter goes on:", nil)
		}
		return true, err
	}
	return false, nil
}

// keptLevel keeps a level where the new one is an error.
func keptLevel(old float64) func(float64, error) (float64, error) {
	return func(v float64, err error) (float64, error) {
		if err != nil {
			return old, err
		}
		return v, nil
	}
}

// tune plays 1 kHz while the level is being set.
func (s *Session) tune(w live.Wanted) error {
	hz := 1000.0
	if w.Steady {
		hz = w.Hz
	}
	tone, err := s.sound.player.Tone(hz, w.Level(s.sound.level))
	if err != nil {
		return s.notPlayed(err)
	}
	defer tone.Close()
	for {
		p := s.playing(w)
		p.Kind, p.Hz = signal.KindTone, hz
		answer, err := s.desk.ask("setting the level", append([]string{"it sounds now"}, p.Text()...), "+ or - 1 dB, or a level as -38 dBFS; Enter when it is set:", nil)
		if err != nil {
			return err
		}
		level := s.sound.level
		switch plain := strings.Trim(answer, "+-"); {
		case answer == "":
			return nil
		case plain == "":
			level += float64(strings.Count(answer, "+") - strings.Count(answer, "-"))
			_, err = playedLevel(fmt.Sprintf("%g dBFS", level), 0)
		default:
			level, err = playedLevel(answer, s.sound.volts)
		}
		if err != nil {
			if _, err := s.desk.ask("not understood", []string{err.Error()}, "Enter goes on:", nil); err != nil {
				return err
			}
			continue
		}
		s.sound.level = level
		tone.Level(w.Level(level))
	}
}

// notPlayed says why nothing was played; the person decides how to go on.
func (s *Session) notPlayed(cause error) error {
	_, err := s.desk.ask("nothing was played", []string{cause.Error()}, "Enter goes on:", nil)
	return err
}

// mayPlay is the last lock before a sound: nothing goes to a microphone socket
// before the word for the dummy load, and nothing goes where it was not said to.
func (s *Session) mayPlay(step live.Step, w live.Wanted) error {
	if step.Kind.Transmit && !s.keyed || s.sound.into != w.Into {
		return fmt.Errorf("nothing is played before it was said where the output is connected")
	}
	return nil
}

// takePlayed records while a signal is played: from before its beginning to after
// its end, or for the usual time within a steady tone.
func (s *Session) takePlayed(r *job.Round, step live.Step, w live.Wanted, take *live.Take) (signal.Signal, error) {
	if err := s.mayPlay(step, w); err != nil {
		return signal.Signal{}, err
	}
	title, text := bench.RecordingTitle(s.about(r, step)), s.playing(w).Text()
	if w.Steady {
		tone, err := s.sound.player.Tone(w.Hz, w.Level(s.sound.level))
		if err != nil {
			return signal.Signal{}, playError{err}
		}
		defer tone.Close()
		idle := make(chan error)
		if err := s.desk.wait(title, text, s.counted("the tone comes up", tuneSeconds), s.feed.After(tuneSeconds, idle)); err != nil {
			return signal.Signal{}, err
		}
		done := s.feed.Record(take, int64(s.Seconds*float64(s.input.Format().Rate)))
		err = s.desk.wait(title, text, s.counted("playing and recording", s.Seconds), first(done, tone, nil))
		s.feed.Stop()
		return signal.Signal{}, err
	}
	x, err := w.Make(s.sound.player, s.sound.level)
	if err != nil {
		return x, playError{err}
	}
	done := s.feed.Record(take, -1)
	defer s.feed.Stop()
	doing := s.counted("playing and recording", s.lasts(r, step))
	if err := s.desk.wait(title, text, doing, s.feed.After(leadSeconds, done)); err != nil {
		return x, err
	}
	quiet := make([]float64, int(quietSeconds*float64(x.Rate)))
	out, err := s.sound.player.Play(append(quiet, x.Samples...))
	if err != nil {
		return x, playError{err}
	}
	defer out.Close()
	// An output that never says that it has ended holds nobody up: what was recorded
	// is looked at in any case.
	long := s.feed.After(quietSeconds+x.Seconds()+spareSeconds, nil)
	if err := s.desk.wait(title, text, doing, first(done, out, long)); err != nil {
		return x, err
	}
	if err := s.desk.wait(title, text, doing, s.feed.After(tailSeconds, done)); err != nil {
		return x, err
	}
	s.feed.Stop()
	return x, <-done
}

// playError is a signal that could not be played: the session goes on.
type playError struct{ error }

// first passes on what comes first: the end of the recording (done), the end of what is
// played meanwhile (out), or the time that both may take (long; nil: any). An output that
// fails gives a playError, so that the session goes on.
func first(done <-chan error, out soundcard.Output, long <-chan error) <-chan error {
	ended := make(chan error, 1)
	go func() {
		select {
		case err := <-done:
			ended <- err
		case err := <-long:
			ended <- err
		case <-out.Done():
			if err := out.Err(); err != nil {
				ended <- playError{err}
				return
			}
			ended <- nil
		}
	}()
	return ended
}

// counted says what goes on and for how long yet.
func (s *Session) counted(what string, seconds float64) func() string {
	began := time.Now()
	return func() string {
		return fmt.Sprintf("%s, %.0f of %.0f s ...", what, min(seconds, time.Since(began).Seconds()), seconds)
	}
}

// lookPlayed reads a recording of a signal at once.
func (s *Session) lookPlayed(j *job.Job, r *job.Round, step live.Step, w live.Wanted, x signal.Signal, file string, m analyze.Measured) (line string, against []string, err error) {
	f, err := capture.Open(filepath.Join(j.Dir, filepath.FromSlash(file)))
	if err != nil {
		return "", nil, err
	}
	defer f.Close()
	check, err := watch.Played(f.Channels[m.Origin.Channel-1], x)
	if err != nil {
		return "", nil, err
	}
	var result *analyze.Result
	if len(step.Kind.Needs) == 0 && check.Found() { // one that needs a reference has none yet
		one, err := run.Runner{Dir: j.Dir}.Kind(setupOf(j, r, step, file), run.Use{})
		if err != nil {
			return "", nil, err
		}
		result = &one
	}
	line, against = bench.PlayedResult(s.playing(w), check, result)
	for _, w := range m.Warnings {
		if slices.Contains(playedCodes, w.Code) {
			against = append(against, sentence.Of(w.Says))
		}
	}
	return line, against, nil
}

// playedCodes are the warnings that a recording of a test signal may bring: others
// take a tone that stays for granted.
var playedCodes = []capture.Code{capture.Clipped, capture.ClippedBelow, capture.LowLevel, capture.DCOffset, capture.BeyondFullScale, capture.NotFinite, capture.ChannelSilent, capture.BytesSwapped, capture.CoarseSteps}

// setupOf is a step's test with this recording alone.
func setupOf(j *job.Job, r *job.Round, step live.Step, file string) job.Setup {
	t := r.Tests[step.Test]
	one := *t.Stanza
	one.Takes = slices.Clone(one.Takes)
	if len(one.Takes) == 0 {
		one.Takes = []job.Take{step.Take}
	}
	for i := range one.Takes {
		one.Takes[i].File = file
	}
	t.Stanza = &one
	return j.Setup(r, t)
}
