package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/run"
)

// readingFlags say how recordings are read, whatever the command.
type readingFlags struct {
	filter, tone, channel, mains, from, to, fullScale, load string
	mode, deviation                                         string // empty where a command asks for them by itself
	card, source                                            string
}

func (f *readingFlags) add(c *cobra.Command, channels string) {
	fs := c.Flags()
	fs.StringVar(&f.filter, "filter", job.SpeechBand, "`filter`: "+strings.Join(job.FilterNames, ", ")+", or a band such as 300-3000")
	fs.StringVar(&f.tone, "tone", "1 kHz", "`frequency` at which the tone is expected")
	fs.StringVar(&f.channel, "channel", "", channels)
	fs.StringVar(&f.mains, "mains", "", "mains `frequency`, 50 or 60 (default: whichever stands out)")
	fs.StringVar(&f.from, "from", "", "`time` from which the recording is used, as 1.5 s")
	fs.StringVar(&f.to, "to", "", "`time` up to which the recording is used")
	fs.StringVar(&f.fullScale, "full-scale-volts", "", "RMS `volts` of a full-scale sine at the card's input: levels in volts too")
	fs.StringVar(&f.load, "load-ohms", "", "`ohms` across which that voltage stands: power too")
	fs.StringVar(&f.source, "source", "", "`way` of the sound, if not by cable: "+strings.Join(job.Sources[1:], ", "))
	cardFlag(c, &f.card)
}

// addModulation adds what intervals of noise depend on, besides the recording: clicks
// come in FM only, and how rare ones may hide follows from the deviation. A command
// that states neither gets intervals that hold for FM with any usual deviation.
func (f *readingFlags) addModulation(c *cobra.Command) {
	fs := c.Flags()
	fs.StringVar(&f.mode, "mode", "", "`mode` of the set: fm, am, ssb (default: intervals wide enough for fm)")
	fs.StringVar(&f.deviation, "deviation", "", "`deviation` of the tone on an FM generator, as 1.5 kHz (default: wide enough for 1.2 to 3 kHz)")
}

// quantity parses a flag that may be left out; of names the flag in errors.
func quantity(flag, text string, parse func(string) (float64, error)) (float64, error) {
	if strings.TrimSpace(text) == "" {
		return 0, nil
	}
	v, err := parse(text)
	if err != nil {
		return 0, fmt.Errorf("--%s: %w", flag, err)
	}
	return v, nil
}

func (f *readingFlags) parse() (job.Reading, run.Use, error) {
	var how job.Reading
	var use run.Use
	var err error
	if how.Filter, err = job.ParseFilter(f.filter); err != nil {
		return how, use, fmt.Errorf("--filter: %w", err)
	}
	if how.Source, err = job.ParseSource(f.source); err != nil {
		return how, use, fmt.Errorf("--source: %w", err)
	}
	for _, q := range []struct {
		flag, text string
		parse      func(string) (float64, error)
		into       *float64
	}{
		{"tone", f.tone, unit.ParseFrequency, &how.ToneHz},
		{"mains", f.mains, unit.ParseFrequency, &how.MainsHz},
		{"full-scale-volts", f.fullScale, unit.ParseVolts, &how.FullScaleVolts},
		{"load-ohms", f.load, unit.ParseOhms, &how.LoadOhms},
		{"deviation", f.deviation, unit.ParseFrequency, &how.Deviation},
		{"from", f.from, unit.ParseSeconds, &use.From},
		{"to", f.to, unit.ParseSeconds, &use.To},
	} {
		if *q.into, err = quantity(q.flag, q.text, q.parse); err != nil {
			return how, use, err
		}
	}
	how.Mode = f.mode
	switch {
	case f.mode != "" && !slices.Contains(job.Modes, f.mode):
		return how, use, fmt.Errorf("--mode: %q is none of fm, am and ssb", f.mode)
	case how.Deviation > 0 && f.mode != "" && f.mode != job.FM:
		return how, use, fmt.Errorf("--deviation: %s has none; leave it out, or give --mode fm", f.mode)
	case how.MainsHz != 0 && how.MainsHz != 50 && how.MainsHz != 60:
		return how, use, fmt.Errorf("--mains: %q is neither 50 nor 60", f.mains)
	case use.From < 0 || use.To < 0 || use.To > 0 && use.To <= use.From:
		return how, use, fmt.Errorf("--from, --to: %q to %q is no part of a recording; give times from its start, the later one as --to", f.from, f.to)
	case how.LoadOhms > 0 && how.FullScaleVolts == 0:
		return how, use, fmt.Errorf("--load-ohms: gives a power only together with --full-scale-volts")
	}
	use.Whole = use.From > 0 || use.To > 0
	use.Channel, err = parseChannel(f.channel)
	return how, use, err
}

func parseChannel(s string) (int, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "":
		return run.ToneChannel, nil
	case "all":
		return run.AllChannels, nil
	case "left":
		return 1, nil
	case "right":
		return 2, nil
	}
	n, err := strconv.Atoi(strings.TrimSpace(s))
	if err != nil || n < 1 {
		return 0, fmt.Errorf("--channel: %q is no channel; give 1, 2 ..., or all", s)
	}
	return n, nil
}
