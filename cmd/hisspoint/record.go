package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/live"
	"hisspoint/cmd/internal/run"
	"hisspoint/cmd/internal/session"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/doc/sheet"
	"hisspoint/reports/sentence"
)

type recordFlags struct {
	sound       soundFlags
	during, out string
	tone, round string
	auto        bool
	output      string
	level       string
	outputVolts string
	page        string
}

func (a *app) recordCommand() *cobra.Command {
	var f recordFlags
	c := &cobra.Command{
		Use:   "record [JOB]",
		Short: "Records from the sound card: a job's recordings, or one file",
		Long: `Walks through the recordings that a job lacks, one by one: tells what to set, shows
a small live reading, records on Enter (a foot switch sends Enter), looks at the
recording at once and puts it in its place in the job file. For a sensitivity
test without planned levels each next level is proposed from the readings so far,
until some lie near the criterion on each side. Receive tests come first; before
the transmitter is keyed, the word dummy has to be typed. It can be stopped and
resumed at any time.

Where a test wants a signal (audio response, transmit tests), it is played on the
card's output while it records: into the generator's modulation input, or through
a divider into the microphone socket (hisspoint wiring modulate). Begin soft.

With --out one file is recorded, without a job. If it ends before the time asked for,
or is stopped, the file holds what came, and the exit code is 2.

A recording grows in a file of its own beside the one named, valid at every
moment, and gets its name when it is whole. Nothing that is there already is ever
written over.`,
		Example: "  hisspoint record 0417\n  hisspoint record --round as_left --auto\n  hisspoint record --for 5s --out rx-1uV.wav",
		Args:    func(c *cobra.Command, args []string) error { return atMostOne("job")(c, withoutPort(&f.page, args)) },
		RunE: func(_ *cobra.Command, args []string) error {
			args = withoutPort(&f.page, args)
			switch {
			case f.out != "" && f.page != "":
				return errors.New("--page: shows the steps of a job; --out records one file without one")
			case f.out != "" && len(args) > 0:
				return errors.New("--out: records one file without a job; leave one of them out")
			case f.out != "":
				return a.recordFile(f)
			}
			return a.recordJob(append(args, ".")[0], f)
		},
	}
	f.sound.add(c)
	fs := c.Flags()
	fs.StringVar(&f.during, "for", "5 s", "`time` of a recording")
	fs.StringVar(&f.out, "out", "", "`file` to record without a job")
	roundFlag(c, &f.round)
	fs.BoolVar(&f.auto, "auto", false, "begin each next recording by itself once the sound has changed and settled")
	fs.StringVar(&f.output, "output", "", "`name` of the output for test signals, or a part of it; none plays nothing (default: the one chosen last)")
	fs.StringVar(&f.level, "level", fmt.Sprintf("%g dBFS", live.FirstPlayed), "`level` at which test signals begin, dBFS or mV")
	fs.StringVar(&f.outputVolts, "output-volts", "", "RMS `volts` that a full-scale sine gives where the signal goes: levels in millivolts too")
	fs.StringVar(&f.tone, "tone", "1 kHz", "`frequency` at which the tone is expected")
	pageFlag(c, &f.page)
	a.outputFlags(c)
	return c
}

// recordJob walks through what a job lacks.
func (a *app) recordJob(name string, f recordFlags) error {
	during, err := seconds("for", f.during, 1, 3600)
	if err != nil {
		return err
	}
	if f.sound.device == "-" {
		return errors.New("--device -: a job is recorded from a sound card, since the answers come on standard input")
	}
	j, err := jobfile.Load(name)
	if err != nil {
		return err
	}
	round, err := roundIn(f.round, j)
	if err != nil {
		return err
	}
	s := session.Session{In: a.stdin, Out: a.stdout, Err: a.stderr, Quiet: a.quiet, Settings: session.Settings{
		Job: name, Round: round, Seconds: during, Auto: f.auto, Source: a.source(f.sound), Output: f.output, Level: f.level, OutputVolts: f.outputVolts,
	}}
	var where []string
	if s.Page, where, err = openPage(f.page); err != nil {
		return err
	}
	if s.Page != nil {
		defer s.Page.Close()
		s.Where = where
	}
	if in, out, ok := a.terminals(); ok && !a.quiet {
		s.Terminal = &session.Terminal{In: in, Out: out, Color: a.screen.color}
	}
	if s.Terminal == nil {
		a.saysPage(where)
	}
	switch finished, err := s.Run(); {
	case err != nil:
		return err
	case !finished:
		_, err = fmt.Fprintf(a.stdout, "Stopped; go on with: hisspoint record%s\n", elsewhere(name))
		return err
	}
	_, err = fmt.Fprintf(a.stdout, "Job %s, %s: nothing is left to record.\n  next: hisspoint report%s\n", j.ID, say.Round(round), elsewhere(name))
	return err
}

// recordFile records one file and says at once what is in it.
func (a *app) recordFile(f recordFlags) error {
	during, err := seconds("for", f.during, reading.MinSeconds, 86400)
	if err != nil {
		return err
	}
	in, err := a.source(f.sound).Record()
	if err != nil {
		return err
	}
	defer in.Close()
	take, err := live.NewTake(f.out, in.Format())
	if err != nil {
		return err
	}
	stop, done := live.Stopped()
	defer done()
	frames := int64(during * float64(in.Format().Rate))
	if err := take.Record(in, frames, stop, nil); err != nil {
		if kept := take.Keep(); kept != "" {
			return fmt.Errorf("%w; %s", err, kept)
		}
		return err
	}
	if take.Seconds() == 0 {
		take.Drop()
		return fmt.Errorf("%s: nothing was heard, so nothing was written", in.Device().Name)
	}
	if err := take.Finish(); err != nil {
		return err
	}
	if err := a.sayRecorded(f); err != nil {
		return err
	}
	return a.sayShort(in, take.Seconds(), during, stop)
}

// sayShort says that a recording ended before the time that was asked for, by itself or
// by hand.
func (a *app) sayShort(in *live.Opened, got, asked float64, stop <-chan struct{}) error {
	if got+1/float64(in.Format().Rate) >= asked {
		return nil
	}
	who := in.Device().Name + " ended"
	select {
	case <-stop:
		who = "the recording was stopped"
	default:
	}
	fmt.Fprintf(a.stderr, "warning: %s after %.4g s of the %.4g s asked for; what came is kept\n", who, got, asked)
	return outcome(exitUndecided)
}

// sayRecorded measures what was just recorded.
func (a *app) sayRecorded(f recordFlags) error {
	tone, err := quantity("tone", f.tone, unit.ParseFrequency)
	if err != nil {
		return err
	}
	file := filepath.ToSlash(f.out)
	record := run.Runner{Version: version()}.Measure([]string{f.out}, job.Reading{ToneHz: tone}, run.Use{})
	if r := record.Recordings[0]; r.Error != "" {
		return fmt.Errorf("%s: was recorded but cannot be read: %s", file, r.Error)
	}
	r := &record.Recordings[0].Measured
	if note, near := live.CardNote("", *r); near && f.sound.device != "-" && !slices.ContainsFunc(r.Warnings, func(w capture.Warning) bool {
		return w.Code == note.Code && sentence.Of(w.Says) == sentence.Of(note.Says)
	}) {
		r.Warnings = append(r.Warnings, note)
	}
	if a.json {
		return a.showMeasure(record)
	}
	for _, line := range sheet.MeasureLines(record) {
		fmt.Fprintln(a.stdout, line)
	}
	for _, w := range record.Recordings[0].Measured.Warnings {
		fmt.Fprintln(a.stderr, "warning: "+sentence.Of(w.Says))
	}
	return nil
}
