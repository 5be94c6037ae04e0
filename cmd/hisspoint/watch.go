package main

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/analyze/watch"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/soundcard"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/live"
	"hisspoint/reports"
	"hisspoint/reports/doc/bench"
)

// openCard opens the sound card of this computer. Tests put another one here.
var openCard = soundcard.Open

// soundFlags say which input is listened to.
type soundFlags struct {
	device, bits   string
	rate, channels int
}

func (f *soundFlags) add(c *cobra.Command) {
	fs := c.Flags()
	fs.StringVar(&f.device, "device", "", "`name` of the input, or a part of it; - for raw samples on standard input (default: the one chosen last)")
	fs.IntVar(&f.rate, "rate", 0, "`Hz` at which the input runs; another rate is refused, never resampled (default: its own)")
	fs.IntVar(&f.channels, "channels", 1, "`channels` of raw samples")
	fs.StringVar(&f.bits, "bits", "16", "`bits` of raw samples, little-endian: 16, 24, 32 or float")
}

// source is the input that the flags name.
func (a *app) source(f soundFlags) live.Source {
	return live.Source{Device: f.device, Rate: f.rate, Channels: f.channels, Bits: f.bits, Stdin: a.stdin, Open: openCard}
}

type watchFlags struct {
	sound                   soundFlags
	reading                 readingFlags
	aim, during, time, file string
	beep                    bool
	beepOn, jobName, page   string
}

func (a *app) watchCommand() *cobra.Command {
	var f watchFlags
	c := &cobra.Command{
		Use:   "watch",
		Short: "Shows live readings while both hands are on the set",
		Long: `Shows live readings from the sound card while you turn a core: the aim large, a
bar on a fixed scale with the best so far as a mark on it, and below it the last
60 s as a strip. Words across the whole width say how you stand: better, at the
best, closer, past: turn back, below the best, no tone, too much level.

Scales are 40 dB. SINAD: 0 to 40 dB. Distortion: 30 to 0.3 %, with the audio
beside it. Hiss (on a carrier without modulation, the clearest on a deaf set):
from 10 dB above its first reading to 30 dB below it. Audio: 20 dB to either
side. The scales of hiss and audio grow by 10 dB where a reading leaves them.
With --beep the pitch says the same: 220 Hz at the low end and a semitone higher
for each dB; past the best it comes in double beeps.

Keys: b new best and new start, h hold, m mark a reading with a note, a next aim,
+ and - time constant, q quit. Where standard output is no terminal, or with
--json, one line a reading is written, ten a second; with --json the first line
says where they come from. One channel is watched; if two hold a tone and differ,
none is read until you state it with --channel.`,
		Example: `  hisspoint watch --aim hiss
  hisspoint watch --aim distortion --beep --device "line in"
  hisspoint watch --page :8080
  hisspoint watch --json --for 10s`,
		Args: func(c *cobra.Command, args []string) error { return noArguments(c, withoutPort(&f.page, args)) },
		RunE: func(*cobra.Command, []string) error { return a.watch(f) },
	}
	f.sound.add(c)
	f.reading.addLive(c)
	fs := c.Flags()
	fs.StringVar(&f.aim, "aim", analyze.AimSINAD, "`aim`: "+strings.Join(analyze.Aims, ", "))
	fs.StringVar(&f.during, "for", "", "`time` after which it ends, as 10s (default: until it is stopped)")
	fs.StringVar(&f.time, "time-constant", "0.5 s", "`time` that a reading looks back, 0.1 s to 5 s")
	fs.StringVar(&f.file, "log", "", "`file` to which every reading is added as a row of CSV")
	fs.BoolVar(&f.beep, "beep", false, "a pitch that rises by a semitone for each dB, and double beeps past the best")
	fs.StringVar(&f.beepOn, "beep-on", "", "`name` of the output for --beep, or a part of it")
	fs.StringVar(&f.jobName, "job", "", "`folder` of the job beside which marks are kept")
	pageFlag(c, &f.page)
	a.outputFlags(c)
	return c
}

// addLive are the reading flags that make sense of a sound that goes on.
func (f *readingFlags) addLive(c *cobra.Command) {
	fs := c.Flags()
	fs.StringVar(&f.filter, "filter", job.SpeechBand, "`filter`: "+strings.Join(job.FilterNames, ", ")+", or a band such as 300-3000")
	fs.StringVar(&f.tone, "tone", "1 kHz", "`frequency` at which the tone is expected")
	fs.StringVar(&f.channel, "channel", "", "channel `N` by number (default: the one that holds the tone, if only one does)")
	fs.StringVar(&f.fullScale, "full-scale-volts", "", "RMS `volts` of a full-scale sine at the card's input: levels in volts too")
	fs.StringVar(&f.load, "load-ohms", "", "`ohms` across which that voltage stands: power too")
}

// seconds parses a time that a flag gives.
func seconds(flag, text string, least, most float64) (float64, error) {
	if text == "" {
		return 0, nil
	}
	v, err := unit.ParseSeconds(text)
	if err != nil {
		return 0, fmt.Errorf("--%s: %w", flag, err)
	}
	if v < least || v > most {
		return 0, fmt.Errorf("--%s: %s is not within %g s to %g s", flag, text, least, most)
	}
	return v, nil
}

func (a *app) watch(f watchFlags) error {
	how, use, err := f.reading.parse()
	if err != nil {
		return err
	}
	during, err := seconds("for", f.during, 0.1, 1e6)
	if err != nil {
		return err
	}
	constant, err := seconds("time-constant", f.time, reading.MinSeconds, watch.Seconds)
	if err != nil {
		return err
	}
	if use.Channel < 0 {
		return fmt.Errorf("--channel: one channel is watched at a time; give its number")
	}
	if _, err := watch.NewAimer(f.aim); err != nil {
		return fmt.Errorf("--aim: %w", err)
	}
	folder := "."
	if f.jobName != "" {
		j, err := jobfile.Load(f.jobName)
		if err != nil {
			return fmt.Errorf("--job: %w", err)
		}
		folder = j.Dir
	}
	live.CollectSeldom()
	in, err := a.source(f.sound).Record()
	if err != nil {
		return err
	}
	defer in.Close()
	format := in.Format()
	if how.FullScaleVolts == 0 {
		how.FullScaleVolts = live.FullScaleVolts(in.Device().ID, format.Rate)
	}
	l, err := watch.NewLive(in.Device().Name, format.Rate, format.Channels, use.Channel, how)
	if err != nil {
		return err
	}
	l.SetSeconds(constant)
	w, err := live.NewWatch(in, l, f.aim)
	if err != nil {
		return err
	}
	after, done, err := f.watchAfter(in)
	if err != nil {
		return err
	}
	defer done()
	frames := int64(during * float64(format.Rate))
	s := &watching{a: a, w: w, folder: folder, aim: f.aim, after: after, state: bench.WatchState{Source: in.Device().Name, Seconds: constant}}
	if s.page, s.cover, err = openPage(f.page); err != nil {
		return err
	}
	if s.page != nil {
		defer s.page.Close()
	}
	terminalIn, terminalOut, ok := a.terminals()
	if !ok || a.json || a.quiet || f.sound.device == "-" {
		a.saysPage(s.cover)
		return s.watchLines(reports.WatchHead{Version: version(), Device: in.Device().Name, Rate: format.Rate, Channels: format.Channels,
			Filter: how.Filter.String(), Seconds: constant}, frames)
	}
	return s.watchScreen(terminalIn, terminalOut, frames)
}

// watchLines writes one line a reading.
func (s *watching) watchLines(head reports.WatchHead, frames int64) error {
	a := s.a
	stop, done := live.Stopped()
	defer done()
	line := func(of json.Marshaler) error {
		text, err := of.MarshalJSON()
		if err != nil {
			return err
		}
		fmt.Fprintf(a.stdout, "%s\n", text)
		return nil
	}
	if a.json {
		if err := line(head); err != nil {
			return err
		}
	}
	return s.w.Run(stop, frames, func(r reports.Watch) error {
		if err := s.after(r); err != nil {
			return err
		}
		s.onLines(r)
		if !a.json {
			fmt.Fprintln(a.stdout, bench.WatchLine(r))
		} else if err := line(r); err != nil {
			return err
		}
		if err := a.paint.Flush(); err != nil {
			return fmt.Errorf("standard output cannot be written: %w", err)
		}
		return nil
	})
}
