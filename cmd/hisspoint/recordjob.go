package main

import (
	"errors"
	"fmt"
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
	"hisspoint/cmd/internal/run"
	"hisspoint/reports"
	"hisspoint/reports/doc"
)

// session walks through the recordings that a job lacks.
type session struct {
	a       *app
	name    string // of the job, as given
	dir     string // its folder
	round   string
	flags   recordFlags
	seconds float64
	in      *live.Opened
	feed    *live.Feed
	desk    desk
	keyed   bool // the word for the transmit tests was given
	history []made
	wired   bool
	skipped map[string]bool
	level   float64 // of what is heard at the last recording, for settling
	sound   sounding
}

// made is a recording of this session, to which one key goes back.
type made struct {
	step live.Step
	file string
}

func (a *app) recordJob(name string, f recordFlags) error {
	during, err := seconds("for", f.during, 1, 3600)
	if err != nil {
		return err
	}
	if f.sound.device == "-" {
		return errors.New("--device -: a job is recorded from a sound card, since the answers come on standard input")
	}
	round, err := roundNamed(f.round, name)
	if err != nil {
		return err
	}
	s := &session{a: a, name: name, round: round, flags: f, seconds: during, skipped: map[string]bool{}}
	j, r, err := s.load()
	if err != nil {
		return err
	}
	s.dir = j.Dir
	if len(live.Steps(j.Dir, round, r)) == 0 {
		return s.finished(j)
	}
	collectSeldom()
	if s.in, err = a.openInput(f.sound); err != nil {
		return err
	}
	defer s.in.Close()
	if s.sound, err = openSounding(s.in, f); err != nil {
		return err
	}
	said, err := live.TieCard(j.Dir, round, j, s.in.Device(), s.in.Format().Rate)
	if err != nil {
		return err
	}
	if said != "" && !a.quiet {
		fmt.Fprintln(a.stderr, said)
	}
	return s.run(j)
}

// load reads the job as it is now: what a person typed meanwhile counts.
func (s *session) load() (*job.Job, *job.Round, error) {
	j, err := jobfile.Load(s.name)
	if err != nil {
		return nil, nil, err
	}
	r := map[string]*job.Round{reports.AsFound: j.AsFound, reports.AsLeft: j.AsLeft}[s.round]
	if r == nil {
		return nil, nil, fmt.Errorf("%s: has no round %s yet; add it to the job file, with its tests", filepath.ToSlash(s.name), s.round)
	}
	return j, r, nil
}

func (s *session) run(j *job.Job) error {
	format := s.in.Format()
	l, err := watch.NewLive(s.in.Device().Name, format.Rate, format.Channels, 0, job.Reading{})
	if err != nil {
		return err
	}
	w, err := live.NewWatch(s.in, l, analyze.AimSINAD)
	if err != nil {
		return err
	}
	s.feed = live.NewFeed(s.in, w)
	stop, done := stopped()
	defer done()
	if in, out, ok := s.a.terminals(); ok && !s.a.quiet {
		if s.desk, err = newScreenDesk(in, out, s.feed, s.in.Device().Name, s.a.screen.color, stop); err != nil {
			return err
		}
	} else {
		s.desk = newLineDesk(s.a.stdin, s.a.stderr, s.feed, stop)
	}
	err = s.walk(j.Dir)
	s.desk.close()
	if errors.Is(err, errStopped) {
		fmt.Fprintf(s.a.stdout, "Stopped; go on with: hisspoint record%s\n", elsewhere(s.name))
		return nil
	}
	if err != nil {
		return err
	}
	return s.finished(j)
}

func (s *session) finished(j *job.Job) error {
	_, err := fmt.Fprintf(s.a.stdout, "Job %s, %s: nothing is left to record.\n  next: hisspoint report%s\n", j.ID, roundWords[s.round], elsewhere(s.name))
	return err
}

// walk makes one recording after the other until none is missing.
func (s *session) walk(dir string) error {
	for {
		j, r, err := s.load()
		if err != nil {
			return err
		}
		steps := live.Steps(dir, s.round, r)
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
func (s *session) next(j *job.Job, r *job.Round, steps []live.Step) (live.Step, bool, error) {
	for _, step := range steps {
		if s.skipped[stepKey(step)] {
			continue
		}
		if !step.Open {
			return step, true, nil
		}
		t := r.Tests[step.Test].Sensitivity
		level, done, err := s.proposed(j, r, t)
		if err != nil {
			return step, false, err
		}
		if done {
			continue
		}
		step.Take = job.Take{Level: unit.DBm(level), Typed: unit.DBm(level).String()}
		step.File = live.FileName(s.round, step.Kind.Name, r.Tests[step.Test].Name, step.Take.Typed)
		return step, true, nil
	}
	return live.Step{}, false, nil
}

// proposed measures what a sensitivity test has and proposes the next level of
// the generator.
func (s *session) proposed(j *job.Job, r *job.Round, t *job.SensitivityTest) (level float64, done bool, err error) {
	profiles, err := j.ResolveProfiles(limit.Lookup)
	if err != nil {
		return 0, false, err
	}
	how := j.Sensitivity(r, t, profiles)
	if how.Criterion.Quantity != job.QuantitySINAD {
		return 0, true, nil // its levels have to be planned: the hiss without a signal, or a second recording, belongs to them
	}
	start := live.StartLevel(how)
	files := make([]string, len(how.Takes))
	for i, k := range how.Takes {
		files[i] = k.File
	}
	record := run.Runner{Version: version(), Dir: j.Dir}.Measure(files, how.How(), run.Use{})
	var got []point.Reached
	for i, m := range record.Recordings {
		if m.Error != "" {
			return 0, false, fmt.Errorf("%s: %s", m.File, m.Error)
		}
		if how.Takes[i].Level.Scale != unit.Absolute {
			return 0, true, nil // relative levels cannot be continued without knowing what they mean
		}
		x := m.Measured.Get(analyze.SINAD)
		got = append(got, point.Reached{LevelDB: how.Takes[i].Level.DB, AboveDB: x.Value - how.Criterion.Value, NoTone: !x.OK()})
	}
	level, done = point.NextLevel(got, start)
	return level, done, nil
}

// keysText says what may be typed instead of Enter.
const keysText = "Enter, or what was really set (b back, s skip, w wiring, q stop):"

func (s *session) keys(r *job.Round, step live.Step) string {
	if w, _, here := s.wanted(r, step); here {
		return s.playing(w).Keys()
	}
	return keysText
}

// one makes one recording, with all that is asked around it.
func (s *session) one(j *job.Job, r *job.Round, step live.Step) error {
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
		answer, err := s.desk.ask(doc.RecordingTitle(s.about(r, step)), s.texts(r, step), s.keys(r, step), s.settled())
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
func (s *session) careful(step live.Step) error {
	if !step.Kind.Transmit {
		s.keyed = false
		return nil
	}
	if s.keyed {
		return nil
	}
	return s.dummy()
}
