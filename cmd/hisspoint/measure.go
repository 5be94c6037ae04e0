package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/reports"
	"hisspoint/reports/doc/sheet"
)

func (a *app) measureCommand() *cobra.Command {
	var flags readingFlags
	c := &cobra.Command{
		Use:   "measure FILE...",
		Short: "Reads each recording: SINAD, distortion, noise, hum, levels",
		Long: `Takes all readings of each recording, each with its 95 % interval: SINAD, S/N,
distortion with single harmonics, noise, hum line by line, levels.

A recording without a tone gets no SINAD. If a clear tone stands elsewhere than
at 1 kHz (400 Hz is common), it is named, and --tone 400 measures it. With
6 dB/octave de-emphasis a 400 Hz tone comes out 8.0 dB higher than 1 kHz at equal
deviation, so compare SINAD figures only at the same tone.

In FM noise may come in clicks, and a recording may happen to hold none: what it
cannot know makes its intervals longer. --deviation 1.5kHz tells it, --mode am
or ssb that there are none; with neither they hold for FM of any usual deviation.

A card.json beside a recording, or in its job's folder, says which sound card made
it (record and card write it): where the card's own noise, hum or distortion lies
less than 10 dB below what is read, a warning says so; levels are given in volts. The
intervals are those of the recording; what the card adds to a set's figures joins
those of sensitivity, response and report.

A file may be - for standard input. A file that cannot be read is named on
standard error, the others are still measured, and the exit code is 3.`,
		Example: `  hisspoint measure rx.wav
  hisspoint measure --filter psophometric --tone 400 *.wav
  hisspoint measure --json rx.wav`,
		Args: wantFiles,
		RunE: func(_ *cobra.Command, args []string) error { return a.measure(args, flags) },
	}
	flags.addModulation(c)
	flags.add(c, "channel `N` by number, or all (default: the one that carries the tone)")
	a.outputFlags(c)
	return c
}

func (a *app) measure(args []string, flags readingFlags) error {
	how, use, err := flags.parse()
	if err != nil {
		return err
	}
	files, err := expand(args)
	if err != nil {
		return err
	}
	s, err := a.runnerOn(flags.card)
	if err != nil {
		return err
	}
	record := s.Measure(files, how, use)
	failed := 0
	for _, r := range record.Recordings {
		if r.Error != "" {
			failed++
			a.complain(fmt.Errorf("%s: %s", r.File, strings.TrimPrefix(r.Error, r.File+": ")))
		}
	}
	if failed < len(record.Recordings) || a.json {
		if err := a.showMeasure(record); err != nil {
			return err
		}
		a.perhaps(s, record)
	}
	if failed > 0 {
		return outcome(exitTrouble)
	}
	return nil
}

func (a *app) showMeasure(record reports.Measure) error {
	switch {
	case a.json:
		return reports.WriteJSON(a.stdout, record)
	case a.quiet:
		for _, line := range sheet.MeasureLines(record) {
			fmt.Fprintln(a.stdout, line)
		}
		return nil
	}
	return a.show(sheet.Measure(record))
}
