package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/plan"
	"hisspoint/reports/doc/report"
)

type jobAddFlags struct {
	job, round, test, levels, places, from, to, volts string
	anyway                                            bool
}

func (a *app) jobAddCommand() *cobra.Command {
	var f jobAddFlags
	c := &cobra.Command{
		Use: "add FILE...", Short: "Puts recordings in their places",
		Long: `Adds recordings to the tests of a round, in natural order ("(10)" after "(2)").
Hisspoint takes the test from --test or the file's name: 0.25uV.wav is of the
sensitivity, hum.wav of hum and noise, tx-tones.wav of the transmit response. The
place in it (level, tone, offset, input, volume, part) comes from --places, from
the name, or from the plan, in its order. A level that is not planned takes the
place of the nearest planned one.

Recordings that the job has already, and files that are no recordings, are left out, so
that * may be added at any time. "before" or "after" in a name tells the round. What can be
sorted is added; the rest is listed with the best guess and what it goes by, on a terminal
as one list that can be corrected, else with the command that adds it.

File, place and SINAD are shown. A recording stays out if a tone is where none belongs or
at another frequency, or all is silence, and a series does where the SINAD falls while the
level rises; --anyway adds them. Doubts that a faulty set may explain are only warnings.
A test named by --test, or a round, that is not there yet is made.

One recording in which the generator was stepped (or the tone, the offset, the volume, the
input) goes in with all its places, in their order; the steps have to fit the list.

--from and --to take a part of a long recording, --measured-volts what a meter showed
meanwhile; all three are for one file.`,
		Example: "  hisspoint job add *.wav\n  hisspoint job add take*.wav --places \"2uV, 1uV, 0.5uV\" --round as_left\n  hisspoint job add steps.wav --test sensitivity --levels \"10uV 3uV 1uV 0.5uV\"\n  hisspoint job add hum.wav --test hum_and_noise\n  hisspoint job add x.wav --test distortion --from 2 --to 8 --measured-volts 1.2",
		Args:    wantFiles,
		RunE:    func(_ *cobra.Command, args []string) error { return a.jobAdd(args, f) },
	}
	c.Flags().StringVar(&f.test, "test", "", "`kind` of the test they belong to, or kind:name")
	c.Flags().StringVar(&f.places, "places", "", "`list` of places in the natural order of the files, with a comma and a blank between them")
	c.Flags().StringVar(&f.levels, "levels", "", "`list` of levels in the natural order of the files: \"2uV 1uV 0,5uV\"")
	c.Flags().StringVar(&f.from, "from", "", "`time` from which the one recording is used, as \"2 s\"")
	c.Flags().StringVar(&f.to, "to", "", "`time` up to which it is used")
	c.Flags().StringVar(&f.volts, "measured-volts", "", "RMS `volts` at the set's output, read while it was recorded")
	c.Flags().BoolVar(&f.anyway, "anyway", false, "add it even if it does not fit")
	jobFlag(c, &f.job)
	roundFlag(c, &f.round)
	return c
}

// jobAdd adds recordings where they are said to belong, or sorts them by itself.
func (a *app) jobAdd(args []string, f jobAddFlags) error {
	if f.test != "" || f.levels != "" || f.places != "" || f.from != "" || f.to != "" || f.volts != "" || len(args) == 0 {
		return a.jobAddTo(args, f)
	}
	j, err := jobfile.Load(f.job)
	if err != nil {
		return err
	}
	if _, err := roundIn(f.round, j); err != nil {
		return err
	}
	files, err := inFolder(args, j.Dir)
	if err != nil {
		return err
	}
	files, others := plan.Recordings(files)
	if len(files) == 0 {
		return fmt.Errorf("%s: is not a recording; name WAV or FLAC files", others[0])
	}
	if files, err = a.notUsed(j, files, false, 0, 0); err != nil {
		return err
	}
	for _, file := range files {
		if _, err := os.Stat(filepath.Join(j.Dir, file)); errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s: does not exist; check the name and the folder", file)
		}
	}
	return a.sortIn(files, f)
}

// jobAddTo adds recordings to the test that is named, or that their names tell.
func (a *app) jobAddTo(args []string, f jobAddFlags) error {
	j, err := jobfile.Load(f.job)
	if err != nil {
		return err
	}
	if f.round, err = roundIn(f.round, j); err != nil {
		return err
	}
	files, err := inFolder(args, j.Dir)
	if err != nil {
		return err
	}
	asked, err := f.part(len(files))
	if err != nil {
		return err
	}
	if files, err = a.notUsed(j, files, f.levels != "" || f.places != "", asked.From, asked.To); err != nil {
		return err
	}
	for _, file := range files {
		if _, err := os.Stat(filepath.Join(j.Dir, file)); errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s: does not exist; check the name and the folder", file)
		}
	}
	round, made, err := roundToFill(j, f.round)
	if err != nil {
		return err
	}
	if asked.Places, err = f.placesGiven(round.Conditions.LevelKind); err != nil {
		return err
	}
	var extra *job.Test
	if f.test != "" && plan.FindTest(round, f.test) < 0 {
		if extra, err = newTest(f.test, round.Conditions.LevelKind); err != nil {
			return err
		}
		round.Tests = append(round.Tests, *extra)
	}
	into := func(l *jobfile.Lines) error {
		switch {
		case made:
			return l.AddRound(f.round, round)
		case extra != nil:
			return l.AddTest(f.round, *extra)
		}
		return nil
	}
	if len(files) == 1 && len(asked.Places) > 1 {
		return a.addStepped(j, round, files[0], asked, f, into)
	}
	placed, err := plan.Place(round, files, asked)
	if err != nil {
		return err
	}
	readings, err := plan.Added(a.runner(), j, round, placed)
	if err != nil {
		return err
	}
	if err := a.showAdded(readings, f.anyway); err != nil {
		return err
	}
	for _, r := range readings {
		if wrong := r.Wrong + r.Falls; wrong != "" && !f.anyway {
			return fmt.Errorf("%s; nothing was added (--anyway adds it)", wrong)
		}
	}
	return jobfile.Edit(f.job, a.command, func(l *jobfile.Lines) error {
		if err := into(l); err != nil {
			return err
		}
		if err := putRecordings(l, f.round, round, placed); err != nil {
			return err
		}
		if err := keepIdentity(l, j.Dir, files...); err != nil {
			return err
		}
		return levelsChecked(l, f, readings)
	})
}

// keepIdentity writes down what recordings are that the job takes.
func keepIdentity(l *jobfile.Lines, dir string, files ...string) error {
	for _, file := range files {
		k, err := jobfile.Identity(dir, file)
		if err == nil {
			err = l.Keep(k)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// levelsChecked keeps that a series was added though its readings contradict each other.
func levelsChecked(l *jobfile.Lines, f jobAddFlags, readings []plan.AddedReading) error {
	for _, r := range readings {
		if r.Falls == "" || !f.anyway {
			continue
		}
		if k, _ := job.KindOf(job.KindSensitivity); r.Label == k.Title || strings.HasPrefix(r.Label, k.Title+", ") {
			return l.SetTest(f.round, r.Test, job.SettingLevelsChecked, "yes")
		}
	}
	return nil
}

// showAdded shows recordings with their places, and what is doubtful of them. anyway:
// what is wrong with them, too.
func (a *app) showAdded(readings []plan.AddedReading, anyway bool) error {
	var rows []report.AddedRow
	for _, r := range readings {
		rows = append(rows, report.AddedRow{File: r.File, Test: r.Label, Place: r.At, Tone: r.Tone, SINAD: r.SINAD})
	}
	if len(rows) == 0 {
		return nil
	}
	if err := a.show(report.Added(rows)); err != nil {
		return err
	}
	for _, r := range readings {
		doubts := r.Doubts
		if anyway {
			doubts = append(doubts, r.Wrong, r.Falls)
		}
		for _, d := range doubts {
			if d != "" {
				fmt.Fprintln(a.stderr, "warning: "+d)
			}
		}
	}
	return nil
}

// part is what the flags say of the one recording that is added.
func (f jobAddFlags) part(files int) (plan.Asked, error) {
	asked := plan.Asked{Test: f.test}
	for _, q := range []struct {
		flag, text string
		parse      func(string) (float64, error)
		into       *float64
	}{{"from", f.from, unit.ParseSeconds, &asked.From}, {"to", f.to, unit.ParseSeconds, &asked.To}, {"measured-volts", f.volts, unit.ParseVolts, &asked.MeasuredVolts}} {
		var err error
		if *q.into, err = quantity(q.flag, q.text, q.parse); err != nil {
			return asked, err
		}
		if q.text != "" && files != 1 {
			return asked, fmt.Errorf("--%s: is for one recording, and %d are named; add them one by one", q.flag, files)
		}
	}
	switch {
	case f.from != "" && f.to == "":
		return asked, fmt.Errorf("--from: needs --to, the time up to which the recording is used")
	case f.to != "" && asked.To <= asked.From:
		return asked, fmt.Errorf("--from, --to: %q to %q is no part of a recording; give times from its start, the later one as --to", f.from, f.to)
	}
	return asked, nil
}

// placesGiven are the places that the flags name.
func (f jobAddFlags) placesGiven(kind unit.LevelKind) ([]string, error) {
	switch {
	case f.levels != "" && f.places != "":
		return nil, fmt.Errorf("--levels and --places: give one of them")
	case f.levels != "":
		levels, err := unit.DialledLevels(f.levels)
		if err != nil {
			return nil, fmt.Errorf("--levels: %w", err)
		}
		for i, l := range levels {
			levels[i] = unit.WithKind(l, kind)
		}
		return levels, nil
	case f.places == "":
		return nil, nil
	}
	var out []string
	for _, p := range strings.Split(f.places, ", ") {
		if p = strings.TrimSpace(p); p != "" {
			out = append(out, p)
		}
	}
	return out, nil
}

// roundToFill is the round that recordings go to: as it is, or made like the
// other one, or by the short plan.
func roundToFill(j *job.Job, name string) (round *job.Round, made bool, err error) {
	round = j.Round(name)
	if round != nil {
		return round, false, nil
	}
	var planned job.Round
	if other := j.Newest(); other != nil {
		planned = other.AsPlan()
		return &planned, true, nil
	}
	profiles, err := j.ResolveProfiles(limit.Lookup)
	if err != nil {
		return nil, false, err
	}
	planned, err = plan.For(plan.Short, j.Set.Mode, profiles)
	planned.BehindPad(j.Shop.Dial.PadDB)
	bench := j.Shop.Conditions(job.RoundConditions{})
	planned.Conditions.LevelKind = bench.LevelKind
	return &planned, true, err
}

// newTest is a test of a kind, without anything in it.
func newTest(which string, kind unit.LevelKind) (*job.Test, error) {
	name := ""
	which, name, _ = strings.Cut(which, ":")
	if k, known := job.KindCalled(which); known {
		which = k.Name
	} else {
		var names []string
		for _, k := range job.Kinds() {
			names = append(names, k.Name)
		}
		if guess := nearest(which, names); guess != "" {
			return nil, fmt.Errorf("--test: %q is no kind of test; did you mean %q?", which, guess)
		}
		return nil, fmt.Errorf("--test: %q is no kind of test; there are %s", which, strings.Join(names, ", "))
	}
	t, err := jobfile.ParseTest(which+": {}", kind)
	t.Name = name
	return &t, err
}

// putRecordings writes placed recordings into the job file.
func putRecordings(l *jobfile.Lines, name string, round *job.Round, placed []plan.Placed) error {
	for _, p := range placed {
		var err error
		switch {
		case p.Key != "":
			err = l.SetTest(name, p.Test, p.Key, p.File)
		case p.Whole:
			err = l.SetStretch(name, p.Test, p.Take)
		default:
			err = l.Record(name, p.Test, round.Tests[p.Test], p.Entry, p.Take)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// notUsed leaves out the files that a round of the job uses already: those that a
// pattern such as *.wav takes in again are no mistake. Where nothing else is named, or
// where places are listed (listed), which go by the order of the files, it is an error.
// Another part of a file, from..to, is another recording.
func (a *app) notUsed(j *job.Job, files []string, listed bool, from, to float64) ([]string, error) {
	where := map[string]string{}
	for name, round := range j.Rounds() {
		for _, t := range round.Tests {
			apart := map[string]bool{} // files of which other parts are used only
			for _, k := range t.AllTakes() {
				other := k.From < k.To && from < to && (k.To <= from || to <= k.From)
				if _, met := apart[k.File]; !met || !other {
					apart[k.File] = other
				}
			}
			for _, used := range t.Files() {
				if !apart[used] {
					where[used] = name
				}
			}
		}
	}
	var fresh, used []string
	for _, f := range files {
		if where[f] == "" {
			fresh = append(fresh, f)
		} else {
			used = append(used, f)
		}
	}
	switch {
	case len(used) > 0 && (listed || len(fresh) == 0):
		return nil, fmt.Errorf("%s: is in round %s already; nothing was added (another part of it: --from and --to)", used[0], where[used[0]])
	case len(used) > 0:
		fmt.Fprintln(a.stdout, folded("  in the job already: ", strings.Join(used, ", ")))
	}
	return fresh, nil
}

// inFolder names files from the job's folder, in natural order.
func inFolder(args []string, dir string) ([]string, error) {
	files, err := expand(args)
	if err != nil {
		return nil, err
	}
	root, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be found", filepath.ToSlash(dir))
	}
	for i, f := range files {
		full, err := filepath.Abs(f)
		if err != nil {
			return nil, fmt.Errorf("%s: cannot be found", filepath.ToSlash(f))
		}
		rel, err := filepath.Rel(root, full)
		if err != nil || rel == ".." || strings.HasPrefix(filepath.ToSlash(rel), "../") {
			return nil, fmt.Errorf("%s: lies outside the job's folder; copy it there", filepath.ToSlash(f))
		}
		files[i] = filepath.ToSlash(rel)
	}
	slices.SortStableFunc(files, func(x, y string) int {
		switch {
		case plan.Natural(x, y):
			return -1
		case plan.Natural(y, x):
			return 1
		}
		return 0
	})
	return slices.Compact(files), nil
}
