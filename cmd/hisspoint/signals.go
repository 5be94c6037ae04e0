package main

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"hisspoint/capture/signal"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/live"
	"hisspoint/reports"
	"hisspoint/reports/doc/bench"
	"hisspoint/reports/text"
)

type signalsFlags struct {
	level, tones, fullScale string
	rate, bits, fraction    int
}

// Files of a folder of test signals beside the sound.
const (
	signalsJSON = "signals.json"
	signalsText = "signals.txt"
)

func (a *app) signalsCommand() *cobra.Command {
	var flags signalsFlags
	c := &cobra.Command{
		Use:   "signals DIR",
		Short: "Writes the test signals as WAV files",
		Long: `Writes test signals into a new folder: a tone, stepped tones, a sweep, a
multitone, level steps, two tones, and noise shaped as speech, with a list of
them for people (signals.txt) and for programs (signals.json). They are the same
every time.

Levels are RMS in dBFS: 0 dBFS is the RMS of a sine whose peaks touch full scale.
With --full-scale-volts, measured at the output with such a sine, they are given
in millivolts too, and --level takes millivolts.`,
		Example: `  hisspoint signals test-signals
  hisspoint signals mic --full-scale-volts 1.1 --level 5mV --tones "1kHz;400Hz"`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) != 1 || args[0] == "" {
				return fmt.Errorf("%s: name one folder to write to", c.CommandPath())
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.signals(args[0], flags) },
	}
	fs := c.Flags()
	fs.StringVar(&flags.level, "level", "-12 dBFS", "`level` of the signals, dBFS or mV; the highest of the level steps")
	fs.StringVar(&flags.tones, "tones", "1kHz", "`frequencies` of the single tones, as \"400 1000\"")
	fs.StringVar(&flags.fullScale, "full-scale-volts", "", "RMS `volts` of a full-scale sine at the card's output: levels in millivolts too")
	fs.IntVar(&flags.rate, "rate", 48000, "samples a `second`")
	fs.IntVar(&flags.bits, "bits", 16, "`bits` a sample: 16, 24 or 32")
	fs.IntVar(&flags.fraction, "steps-per-octave", 6, "finest stepped tones: `6` or 12 to the octave")
	a.outputFlags(c)
	return c
}

func (a *app) signals(dir string, flags signalsFlags) error {
	record := reports.Signals{Version: version(), Bits: flags.bits}
	var err error
	if record.FullScaleVolts, err = quantity("full-scale-volts", flags.fullScale, unit.ParseVolts); err != nil {
		return err
	}
	if flags.bits != 16 && flags.bits != 24 && flags.bits != 32 {
		return fmt.Errorf("--bits: %d is none of 16, 24 and 32", flags.bits)
	}
	o := signal.Options{Rate: flags.rate, Fraction: flags.fraction}
	if flags.rate <= 0 || flags.fraction <= 0 {
		return errors.New("--rate, --steps-per-octave: must be above zero")
	}
	if o.LevelDBFS, err = live.SignalLevel(flags.level, record.FullScaleVolts); err != nil {
		return fmt.Errorf("--level: %w", err)
	}
	if o.TonesHz, err = frequencies("tones", flags.tones); err != nil {
		return err
	}
	if err := a.runner().NewFolder(dir); err != nil {
		return err
	}
	if record.Signals, err = signal.Set(o); err != nil {
		return err
	}
	others, err := manifest(record)
	if err != nil {
		return err
	}
	if err := a.runner().WriteSignals(dir, flags.bits, record.Signals, others); err != nil {
		return err
	}
	switch {
	case a.json:
		return reports.WriteJSON(a.stdout, record)
	case a.quiet:
		for _, s := range record.Signals {
			fmt.Fprintln(a.stdout, s.Name+".wav")
		}
		return nil
	}
	return a.show(bench.Signals(record))
}

// manifest is the list of the signals, for programs and for people.
func manifest(record reports.Signals) (map[string][]byte, error) {
	var list, words bytes.Buffer
	if err := reports.WriteJSON(&list, record); err != nil {
		return nil, err
	}
	if err := text.Write(&words, bench.Signals(record), text.Options{}); err != nil {
		return nil, err
	}
	return map[string][]byte{signalsJSON: list.Bytes(), signalsText: words.Bytes()}, nil
}
