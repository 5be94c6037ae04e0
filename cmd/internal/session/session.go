// Package session records what a job lacks, one recording after the other, with the
// person at the bench: it says what to set, listens, looks at each recording at once
// and enters it into the job file. It knows no flags and no mathematics, and nothing
// of what was planned or is missing but what the job file says.
package session

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/analyze/point"
	"hisspoint/analyze/watch"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/live"
	"hisspoint/cmd/internal/page"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports/doc/bench"
)

// Settings are what a session is told before it begins.
type Settings struct {
	Job         string // folder or file, as the person named it
	Round       string
	Seconds     float64 // of a recording
	Auto        bool    // each next recording begins by itself once the sound has settled
	Source      live.Source
	Output      string // for test signals, by name; empty: the one chosen last
	Level       string // at which test signals begin, as typed
	OutputVolts string // RMS of a full-scale sine where they go, as typed; empty: not known
}

// Terminal is one that a session may paint on.
type Terminal struct {
	In, Out *os.File
	Color   bool
}

// Session walks through the recordings that a job lacks.
type Session struct {
	Settings
	In       io.Reader // answers, a line each
	Out, Err io.Writer // what came of it; what is asked, and said beside it
	Terminal *Terminal // what is asked there instead; nil: there is none
	Quiet    bool
	Page     *page.Server // shows each step, and takes Enter; nil: there is none
	Where    []string     // where that is found

	dir     string // of the job
	input   *live.Opened
	feed    *live.Feed
	desk    desk
	keyed   bool // the word for the transmit tests was given
	history []made
	wired   bool
	skipped map[string]bool
	heard   float64 // level of what was heard at the last recording, for settling
	sound   sounding
}

// made is a recording of this session, to which one key goes back.
type made struct {
	step live.Step
	file string
}

// Run walks until nothing is left to record, or the person stops it, which is no
// error: finished is false then.
func (s *Session) Run() (finished bool, err error) {
	j, r, err := s.load()
	if err != nil {
		return false, err
	}
	s.dir, s.skipped = j.Dir, map[string]bool{}
	if len(live.Steps(j.Dir, s.Round, r)) == 0 {
		return true, nil
	}
	live.CollectSeldom()
	if s.input, err = s.Source.Record(); err != nil {
		return false, err
	}
	defer s.input.Close()
	if s.sound, err = openSounding(s.input, s.Settings); err != nil {
		return false, err
	}
	said, err := live.TieCard(j.Dir, s.Round, j, s.input.Device(), s.input.Format().Rate)
	if err != nil {
		return false, err
	}
	if said != "" && !s.Quiet {
		fmt.Fprintln(s.Err, said)
	}
	stop, done := live.Stopped()
	defer done()
	if err := s.sit(stop); err != nil {
		return false, err
	}
	err = s.walk(j.Dir)
	s.desk.close()
	if errors.Is(err, errStopped) {
		return false, nil
	}
	return err == nil, err
}

// sit opens the desk at which the session talks with the person.
func (s *Session) sit(stop <-chan struct{}) error {
	format := s.input.Format()
	l, err := watch.NewLive(s.input.Device().Name, format.Rate, format.Channels, 0, job.Reading{})
	if err != nil {
		return err
	}
	w, err := live.NewWatch(s.input, l, analyze.AimSINAD)
	if err != nil {
		return err
	}
	s.feed = live.NewFeed(s.input, w)
	if s.Terminal == nil {
		s.desk = newLineDesk(s.In, s.Err, s.feed, stop, onPage{server: s.Page, source: s.input.Device().Name})
		return nil
	}
	if s.desk, err = newScreenDesk(*s.Terminal, s.feed, s.input.Device().Name, stop, s.Page); err != nil || s.Page == nil {
		return err
	}
	_, err = s.desk.ask("the page on a phone", s.Where, "Enter goes on:", nil)
	return err
}

// load reads the job as it is now: what a person typed meanwhile counts.
func (s *Session) load() (*job.Job, *job.Round, error) {
	j, err := jobfile.Load(s.Job)
	if err != nil {
		return nil, nil, err
	}
	r := j.Round(s.Round)
	if r == nil {
		return nil, nil, fmt.Errorf("%s: has no round %s yet; add it to the job file, with its tests", filepath.ToSlash(s.Job), s.Round)
	}
	return j, r, nil
}

// walk makes one recording after the other until none is missing.
func (s *Session) walk(dir string) error {
	for {
		j, r, err := s.load()
		if err != nil {
			return err
		}
		steps := live.Steps(dir, s.Round, r)
		step, ok, err := s.next(j, r, steps)
		if err != nil || !ok {
			return err
		}
		if err := s.one(j, r, step); err != nil {
			return err
		}
	}
}

// next is the first step that is still to do; an open one gets the level that the
// readings so far ask for, or is done.
func (s *Session) next(j *job.Job, r *job.Round, steps []live.Step) (live.Step, bool, error) {
	for _, step := range steps {
		if s.skipped[stepKey(step)] {
			continue
		}
		if !step.Open {
			return step, true, nil
		}
		level, done, err := s.proposed(j, r, r.Tests[step.Test])
		if err != nil {
			return step, false, err
		}
		if done {
			continue
		}
		step.Take = job.Take{Level: unit.DBm(level), Typed: unit.DBm(level).String()}
		step.File = live.FileName(s.Round, step.Kind.Name, r.Tests[step.Test].Name, step.Take.Typed)
		return step, true, nil
	}
	return live.Step{}, false, nil
}

// proposed measures what a sensitivity test has and proposes the next level of
// the generator.
func (s *Session) proposed(j *job.Job, r *job.Round, t job.Test) (level float64, done bool, err error) {
	profiles, err := j.ResolveProfiles(limit.Lookup)
	if err != nil {
		return 0, false, err
	}
	how := j.Setup(r, t)
	if how.Criterion.Quantity != job.QuantitySINAD {
		return 0, true, nil // its levels have to be planned: the hiss without a signal, or a second recording, belongs to them
	}
	start := live.StartLevel(how, profiles)
	var got []point.Reached
	for _, k := range how.Takes {
		m := run.Runner{Dir: j.Dir}.MeasureFile(k.File, how.Reading, run.Use{})[0]
		if m.Error != "" {
			return 0, false, fmt.Errorf("%s: %s", m.File, m.Error)
		}
		if k.Level.Scale != unit.Absolute {
			return 0, true, nil // relative levels cannot be continued without knowing what they mean
		}
		x := m.Measured.Get(analyze.SINAD)
		got = append(got, point.Reached{LevelDB: k.Level.DB, AboveDB: x.Value - how.Criterion.Value, NoTone: !x.OK()})
	}
	level, done = point.NextLevel(got, start)
	return level, done, nil
}

// keysText says what may be typed instead of Enter.
const keysText = "Enter, or what was really set (b back, s skip, w wiring, ? help, q stop):"

func (s *Session) keys(r *job.Round, step live.Step) string {
	if w, _, here := s.wanted(r, step); here {
		return s.playing(w).Keys()
	}
	return keysText
}

// one makes one recording, with all that is asked around it.
func (s *Session) one(j *job.Job, r *job.Round, step live.Step) error {
	if err := s.first(r); err != nil {
		return err
	}
	for {
		if err := s.careful(step); err != nil {
			return err
		}
		if err := s.patched(r, step); err != nil {
			return err
		}
		answer, err := s.ask(bench.RecordingTitle(s.about(r, step)), s.texts(r, step), s.keys(r, step), s.settled(), bench.RecordingHelp(s.about(r, step)))
		if err != nil {
			return err
		}
		switch strings.ToLower(answer) {
		case "":
			again, err := s.record(j, r, step)
			if err != nil || !again {
				return err
			}
		case "q":
			return errStopped
		case "w":
			if err := s.wiring(r); err != nil {
				return err
			}
		case "s":
			s.skipped[stepKey(step)] = true
			return nil
		case "b":
			if k := len(s.history); k > 0 {
				step, s.history = s.history[k-1].step, s.history[:k-1]
			}
		default:
			if took, err := s.played(r, step, answer); err != nil {
				return err
			} else if took {
				continue
			}
			if changed, err := s.really(r, step, answer); err == nil {
				step = changed
			} else if _, err := s.desk.ask("not understood", []string{err.Error()}, "Enter goes on:", nil); err != nil {
				return err
			}
		}
	}
}

// careful asks for the word before every change to transmit, also where a key went
// back.
func (s *Session) careful(step live.Step) error {
	if !step.Kind.Transmit {
		s.keyed = false
		return nil
	}
	if s.keyed {
		return nil
	}
	return s.dummy()
}
