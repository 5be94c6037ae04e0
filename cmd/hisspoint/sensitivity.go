package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports"
)

type sensitivityFlags struct {
	readingFlags
	levels, criterion, kind, mode, deviation, depth, pad, padUncertainty, levelUncertainty, limit, profile, decide string

	agcHeld, anyway bool
}

func (a *app) sensitivityCommand() *cobra.Command {
	var flags sensitivityFlags
	c := &cobra.Command{
		Use:   "sensitivity FILE...",
		Short: "Finds the generator level at which the audio meets a criterion",
		Long: `Measures one recording for each generator level and finds the level at which
the series crosses the criterion, with its 95 % interval and, with a limit, a
verdict. Levels come from the file names (0.25uV.wav, rx_-119dBm.wav, 1uVemf.wav,
off.wav) or from --levels, in the order of the files. Any order, repeats, decimal
commas. Levels in dB (0dB, -3dB) give a relative answer and no verdict.

One file with several --levels is one recording in which the generator was
stepped through them, in that order: the steps are found in it. Leave each level
alone for 3 s or more. If what is found does not fit the list, nothing is guessed.

The mode of the set decides the criterion if none is given: 12 dB SINAD for FM,
10 dB (S+N)/N for AM and SSB. AM needs each level twice, 1uV.wav with the
modulation on and 1uV_nomod.wav with it off and the carrier left on. SSB needs
the carrier 1 kHz into the passband; its tone is held against the rest of the
same recording, since without a signal the AGC lifts the hiss.

For quieting the generator stands without modulation, off is one of the levels,
and the volume is the same throughout.

A tone that is not at 1 kHz needs --tone: with 6 dB/octave de-emphasis a 400 Hz
tone comes out 8.0 dB higher at equal deviation, which makes a set look better
than it is.`,
		Example: `  hisspoint sensitivity *uV.wav --limit "0.5 uV PD" --level-uncertainty-db 1
  hisspoint sensitivity a.wav b.wav c.wav --levels "1uV 0,5uV 0,25uV"
  hisspoint sensitivity *.wav --criterion "quieting 20 dB"
  hisspoint sensitivity *uV.wav *uV_nomod.wav --mode am --depth 30%`,
		Args: wantFiles,
		RunE: func(_ *cobra.Command, args []string) error { return a.sensitivity(args, flags) },
	}
	fs := c.Flags()
	fs.StringVar(&flags.levels, "levels", "", "`list` of generator levels in the order of the files, as \"2uV 1uV 0,5uV\" (default: from the file names)")
	fs.StringVar(&flags.criterion, "criterion", "", "`criterion` that defines the point: sinad, quieting or sn_n with its figure, as \"quieting 20 dB\" (default: sinad 12 dB; sn_n 10 dB for am and ssb)")
	fs.StringVar(&flags.kind, "level-kind", "pd", "`kind` of \u00b5V that say neither: pd or emf")
	fs.StringVar(&flags.pad, "rf-pad-db", "", "`dB` of pad and cable between generator and set, taken off the levels")
	fs.StringVar(&flags.padUncertainty, "rf-pad-uncertainty-db", "", "uncertainty of that, \u00b1`dB`")
	fs.StringVar(&flags.levelUncertainty, "level-uncertainty-db", "", "uncertainty of the generator's level, \u00b1`dB`")
	fs.StringVar(&flags.limit, "limit", "", "`level` that the point may not exceed, as \"0.5 uV PD, service manual\"")
	fs.StringVar(&flags.profile, "limits", "", "`profile` of published limits, or several with commas: the first limit that fits counts (see hisspoint limits)")
	fs.StringVar(&flags.decide, "decide", job.Guarded, "`rule`: guarded (the whole interval decides) or value (the value alone)")
	fs.StringVar(&flags.mode, "mode", "", "`mode` of the set: fm, am or ssb (decides the criterion; some limits hold for one only)")
	fs.StringVar(&flags.deviation, "deviation", "", "`deviation` of the test modulation, as 1.5 kHz (narrows the intervals of FM; some limits ask for it)")
	fs.StringVar(&flags.depth, "depth", "", "`depth` of amplitude modulation, as 30 % (some limits ask for it)")
	fs.BoolVar(&flags.agcHeld, "agc-held", false, "the set's AGC was held: with --mode ssb take tone on against off (*_nomod.wav)")
	fs.BoolVar(&flags.anyway, "anyway", false, "judge the point though a reading contradicts the others")
	flags.add(c, "channel `N` of each file (default: the one that carries the tone)")
	a.outputFlags(c)
	return c
}

func (a *app) sensitivity(args []string, flags sensitivityFlags) error {
	reading, use, err := flags.readingFlags.parse()
	if err != nil {
		return err
	}
	files, err := expand(args)
	if err != nil {
		return err
	}
	test, err := flags.test(reading, files)
	if err != nil {
		return err
	}
	s, err := a.runnerOn(flags.card)
	if err != nil {
		return err
	}
	if use.Channel == run.AllChannels {
		return errors.New("--channel all: a series is made of one channel of each file; give its number")
	}
	record, err := s.Test(test, nil, use)
	if err != nil {
		return err
	}
	if err := a.showTest(record); err != nil {
		return err
	}
	return sensitivityOutcome(record)
}

// sensitivityOutcome is the exit code of a test, nil for 0. With a limit the verdict
// is what was asked for, as in a job: a point beyond the levels that were recorded may
// still be surely inside the limit, or outside.
func sensitivityOutcome(t reports.Test) error {
	switch v := t.Verdict(); {
	case v != nil && v.Outcome == limit.Fail:
		return outcome(exitFailed)
	case v != nil && v.Outcome == limit.Pass:
		return nil
	case v != nil || t.Result.Point.Status != analyze.Found:
		return outcome(exitUndecided)
	}
	return nil
}

// test makes the one-test job that the flags describe.
func (f sensitivityFlags) test(reading job.Reading, files []string) (job.Setup, error) {
	t := job.Setup{Kind: job.KindSensitivity, Reading: reading, LevelKind: unit.LevelKind(f.kind), Decide: f.decide, Mode: f.mode, AGCHeld: f.agcHeld}
	switch {
	case t.LevelKind != unit.PD && t.LevelKind != unit.EMF:
		return t, fmt.Errorf("--level-kind: %q is neither pd nor emf", f.kind)
	case f.decide != job.Guarded && f.decide != job.ByValue:
		return t, fmt.Errorf("--decide: %q is neither guarded nor value", f.decide)
	case f.mode != "" && f.mode != "fm" && f.mode != "am" && f.mode != "ssb":
		return t, fmt.Errorf("--mode: %q is none of fm, am and ssb", f.mode)
	case f.limit != "" && f.profile != "":
		return t, fmt.Errorf("--limit and --limits: give one of them; both would set the limit")
	}
	var err error
	if t.Criterion, err = job.ParseLimitCriterion(f.wanted()); err != nil {
		return t, fmt.Errorf("--criterion: %w", err)
	}
	if t.Deviation, err = quantity("deviation", f.deviation, unit.ParseFrequency); err != nil {
		return t, err
	}
	if t.Depth, err = quantity("depth", f.depth, unit.ParsePercent); err != nil {
		return t, err
	}
	if t.Path, err = f.path(); err != nil {
		return t, err
	}
	if t.Takes, err = takes(files, f.levels, t.LevelKind); err != nil {
		return t, err
	}
	if f.anyway {
		t.Settings = map[string]string{job.SettingLevelsChecked: "yes"}
	}
	t.OneFile = len(files) == 1 && len(t.Takes) > 1
	if err := f.pair(&t); err != nil {
		return t, err
	}
	t.Reading.Mode, t.Reading.Deviation = t.Mode, t.Deviation
	t.Limits, err = f.pickLimit(t)
	return t, err
}

// path is what stands between the generator's dial and the set.
func (f sensitivityFlags) path() (job.RFPath, error) {
	var p job.RFPath
	var err error
	if p.PadDB, err = quantity("rf-pad-db", f.pad, unit.ParseDB); err != nil {
		return p, err
	}
	if p.PadUncertaintyDB, err = bound("rf-pad-uncertainty-db", f.padUncertainty); err != nil {
		return p, err
	}
	if f.levelUncertainty != "" {
		u, err := bound("level-uncertainty-db", f.levelUncertainty)
		if err != nil {
			return p, err
		}
		p.LevelUncertainty = &u
	}
	return p, nil
}

// mostUncertain is the largest half-width in dB that is taken, as in a job file.
const mostUncertain = 20

// bound parses an uncertainty, which is above zero.
func bound(flag, text string) (float64, error) {
	v, err := quantity(flag, text, unit.ParseDB)
	switch {
	case err != nil || text == "":
	case v <= 0:
		err = fmt.Errorf("--%s: %q is not above zero, and nothing is exact; give the half-width, as 1, or leave it out", flag, text)
	case v > mostUncertain:
		err = fmt.Errorf("--%s: %q is more than any instrument is off by; give the half-width in dB, as 1", flag, text)
	}
	return v, err
}

// takes gives each file its level: from the list, else from its name.
func takes(files []string, levels string, kind unit.LevelKind) ([]job.Take, error) {
	if levels != "" {
		return listed(files, levels, kind)
	}
	var out []job.Take
	for _, file := range files {
		name := filepath.ToSlash(file)
		l, ok, err := unit.LevelFromFileName(name, kind)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if !ok {
			if err := (run.Runner{}).Readable(file); err != nil {
				return nil, err // a better name would not help it
			}
			return nil, fmt.Errorf("%s: no level in its name; rename it like 0.25uV.wav or -119dBm.wav, or give --levels", name)
		}
		out = append(out, job.Take{Level: l, Typed: l.String(), File: file})
	}
	return out, nil
}

func listed(files []string, levels string, kind unit.LevelKind) ([]job.Take, error) {
	ls, err := unit.ParseLevels(levels, kind)
	if err != nil {
		return nil, fmt.Errorf("--levels: %w", err)
	}
	stepped := len(files) == 1 && len(ls) > 1
	if len(ls) != len(files) && !stepped {
		return nil, fmt.Errorf("--levels: %d for %d files; give one for each file, in their order", len(ls), len(files))
	}
	var out []job.Take
	for i, l := range ls {
		file := files[0]
		if !stepped {
			file = files[i]
		}
		out = append(out, job.Take{Level: l, Typed: l.String(), File: file})
	}
	return out, nil
}
