package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/sheet"
)

type squelchFlags struct {
	readingFlags
	keyed, keyChannel, limit, decide string
}

func (a *app) squelchCommand() *cobra.Command {
	var flags squelchFlags
	c := &cobra.Command{
		Use:   "squelch FILE",
		Short: "Tells when the audio of a keyed signal opened and closed",
		Long: `Finds, in a recording of the set's audio while the generator was keyed on and
off, when the squelch opened and closed, how long the tail is (the noise between
the moment the signal goes and the mute) and whether it chatters. Modulate the
generator with a tone: by its end the tool knows when the signal went. Leave a
second or more between keyings.

To get the opening time, say when the signal came:
give the times with --keyed, or record something that sounds while the signal is
there on a second channel, and name it with --key-channel.

Exit code 2 says that no closing was seen, or that the time to open was asked for
and could not be given.`,
		Example: `  hisspoint squelch keyed.wav
  hisspoint squelch keyed.wav --keyed "1.0-3.0, 5.0-7.0" --limit "250 ms"
  hisspoint squelch stereo.wav --key-channel 2`,
		Args: wantOneFile,
		RunE: func(_ *cobra.Command, args []string) error { return a.squelch(args[0], flags) },
	}
	fs := c.Flags()
	fs.StringVar(&flags.keyed, "keyed", "", "`times` at which the signal came and went, in seconds, as \"1.0-3.0, 5.0-7.0\"")
	fs.StringVar(&flags.keyChannel, "key-channel", "", "channel `N` that sounds while the signal is there")
	fs.StringVar(&flags.limit, "limit", "", "longest `time` to close that is allowed, as \"250 ms, service manual\"")
	fs.StringVar(&flags.decide, "decide", job.Guarded, "`rule`: guarded (the whole interval decides) or value (the value alone)")
	flags.add(c, "channel `N` of the file (default: the one that carries the tone)")
	a.outputFlags(c)
	return c
}

func wantOneFile(c *cobra.Command, args []string) error {
	if len(args) != 1 {
		return fmt.Errorf("%s: takes one recording, not %d; see %s --help", c.CommandPath(), len(args), c.CommandPath())
	}
	return nil
}

func (a *app) squelch(file string, flags squelchFlags) error {
	how, use, err := flags.parse()
	if err != nil {
		return err
	}
	setup := job.Setup{Kind: job.KindSquelch, Reading: how, Decide: flags.decide}
	setup.Takes = []job.Take{{File: file}}
	setup.Settings = map[string]string{}
	for _, s := range []struct{ flag, key, value string }{{"keyed", job.SettingKeyed, flags.keyed}, {"key-channel", job.SettingKeyChannel, flags.keyChannel}} {
		if s.value == "" {
			continue
		}
		if err := job.CheckSetting(s.key, s.value); err != nil {
			return fmt.Errorf("--%s: %w", s.flag, err)
		}
		setup.Settings[s.key] = s.value
	}
	if flags.limit != "" {
		l, err := job.ParseLimit(flags.limit, job.QuantityClosing, unit.PD)
		if err != nil {
			return fmt.Errorf("--limit: %w", err)
		}
		setup.Limits = []job.Limit{l}
	}
	if flags.decide != job.Guarded && flags.decide != job.ByValue {
		return fmt.Errorf("--decide: %q is neither guarded nor value", flags.decide)
	}
	s, err := a.runnerOn(flags.card)
	if err != nil {
		return err
	}
	result, err := s.Kind(setup, use)
	if err != nil {
		return err
	}
	if err := keyedWithin(file, flags.keyed, result); err != nil {
		return err
	}
	record := reports.Test{Kind: setup.Kind, Result: &result, Judged: limit.JudgeResult(result, nil)}
	if err := a.showTest(record); err != nil {
		return err
	}
	if err := testOutcome(record); err != nil {
		return err
	}
	return squelchOutcome(result, flags)
}

// keyedWithin refuses times of keying that the recording does not hold.
func keyedWithin(file, typed string, r analyze.Result) error {
	if typed == "" {
		return nil
	}
	if why, err := run.KeyedBeyond(typed, r); err != nil {
		return fmt.Errorf("--keyed: %w", err)
	} else if why != "" {
		return fmt.Errorf("--keyed: %s: %s", filepath.ToSlash(file), why)
	}
	return nil
}

// squelchOutcome is the exit code of what was asked for beside a limit: the closing
// always, the time to open where the keying was told. A take that holds no closing
// answers nothing.
func squelchOutcome(r analyze.Result, flags squelchFlags) error {
	asked := []string{job.QuantityClosing}
	if flags.keyed != "" || flags.keyChannel != "" {
		asked = append(asked, job.QuantityAttack)
	}
	for _, name := range asked {
		if !r.Get(name).OK() {
			return outcome(exitUndecided)
		}
	}
	return nil
}

// showTest shows a test of any kind in the form that was asked for.
func (a *app) showTest(t reports.Test) error {
	switch {
	case a.json:
		return reports.WriteJSON(a.stdout, reports.Single{Version: version(), Test: t})
	case a.quiet:
		return a.show(doc.Document{Blocks: []doc.Block{sheet.Quiet(t)}})
	}
	return a.show(sheet.Of(t))
}

// testOutcome is the exit code of a test, nil for 0.
func testOutcome(t reports.Test) error {
	if t.Result.Why != "" {
		return outcome(exitUndecided)
	}
	for _, o := range []struct {
		outcome string
		code    int
	}{{limit.Fail, exitFailed}, {limit.Undecided, exitUndecided}, {limit.NotJudged, exitUndecided}} {
		for _, j := range t.Judged {
			if j.Verdict.Outcome == o.outcome {
				return outcome(o.code)
			}
		}
	}
	return nil
}
