package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/cmd/internal/live"
	"hisspoint/cmd/internal/service"
	"hisspoint/reports/doc"
)

type recordFlags struct {
	sound       soundFlags
	during, out string
	tone        string
}

func (a *app) recordCommand() *cobra.Command {
	var f recordFlags
	c := &cobra.Command{
		Use:   "record [JOB]",
		Short: "Records from the sound card: a job's recordings one by one, or one file",
		Long: `Records a file of so many seconds with --out and --for.

A recording grows in a file of its own beside the one named, valid at every
moment, and gets its name when it is whole. Nothing that is there already is ever
written over.`,
		Example: `  hisspoint record --for 5s --out rx-1uV.wav`,
		Args:    cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if f.out == "" {
				return errors.New("--out: no file is named; give one, as --out rx.wav")
			}
			return a.recordFile(f)
		},
	}
	f.sound.add(c)
	fs := c.Flags()
	fs.StringVar(&f.during, "for", "5 s", "`time` that is recorded")
	fs.StringVar(&f.out, "out", "", "`file` that is recorded")
	fs.StringVar(&f.tone, "tone", "1 kHz", "`frequency` at which the tone is expected")
	a.outputFlags(c)
	return c
}

// recordFile records one file and says at once what is in it.
func (a *app) recordFile(f recordFlags) error {
	during, err := seconds("for", f.during, analyze.MinSeconds, 86400)
	if err != nil {
		return err
	}
	in, err := a.openInput(f.sound)
	if err != nil {
		return err
	}
	defer in.Close()
	take, err := live.NewTake(f.out, in.Format())
	if err != nil {
		return err
	}
	stop, done := stopped()
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
	return a.sayRecorded(f.out, service.Service{Version: version()})
}

// sayRecorded measures what was just recorded.
func (a *app) sayRecorded(file string, s service.Service) error {
	record := s.Measure([]string{file}, job.Reading{}, service.Use{})
	if r := record.Recordings[0]; r.Error != "" {
		return fmt.Errorf("%s: was recorded but cannot be read: %s", file, r.Error)
	}
	if a.json {
		return a.showMeasure(record)
	}
	for _, line := range doc.MeasureLines(record) {
		fmt.Fprintln(a.stdout, line)
	}
	for _, w := range record.Recordings[0].Measured.Warnings {
		fmt.Fprintln(a.stderr, "warning: "+w.Text)
	}
	return nil
}
