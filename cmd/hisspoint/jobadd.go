package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/service"
	"hisspoint/reports"
)

func (a *app) jobAddCommand() *cobra.Command {
	var name, round, levels string
	c := &cobra.Command{
		Use: "add FILE...", Short: "Puts recordings in their places",
		Long: `Adds recordings to the sensitivity test of a round: in natural order ("(10)"
after "(2)"), with the level from the file name, or from --levels in that order.
File, level and SINAD are shown; nothing is added if the SINAD falls where the
level rises. A round that is not there yet is made like the other one.`,
		Example: "  hisspoint job add *.wav\n  hisspoint job add take*.wav --levels \"2uV 1uV 0,5uV\" --round as_left",
		Args:    wantFiles,
		RunE:    func(_ *cobra.Command, args []string) error { return a.jobAdd(args, name, round, levels) },
	}
	c.Flags().StringVar(&levels, "levels", "", "`list` of levels in the natural order of the files (default: from the names)")
	jobFlag(c, &name)
	roundFlag(c, &round)
	return c
}

func (a *app) jobAdd(args []string, name, roundName, levels string) error {
	j, err := jobfile.Load(name)
	if err != nil {
		return err
	}
	if roundName, err = roundNamed(roundName, name); err != nil {
		return err
	}
	files, err := inFolder(args, j.Dir)
	if err != nil {
		return err
	}
	round := map[string]*job.Round{reports.AsFound: j.AsFound, reports.AsLeft: j.AsLeft}[roundName]
	made := round == nil
	if made {
		plan := service.Plan(service.PlanShort, j.Set.Mode)
		if other := j.Newest(); other != nil {
			plan = other.AsPlan()
		}
		round = &plan
	}
	if len(round.Tests) == 0 || round.Tests[0].Sensitivity.Stepped {
		return fmt.Errorf("%s: round %s has no sensitivity test with single recordings; write one with an editor", filepath.ToSlash(name), roundName)
	}
	added, err := takes(files, levels, round.Conditions.LevelKind)
	if err != nil {
		return err
	}
	for i := range added {
		added[i].Typed = asWritten(added[i].Level)
	}
	if err := usedAlready(j, added); err != nil {
		return err
	}
	if err := a.showAdded(j, added, round.Tests[0].Sensitivity); err != nil {
		return err
	}
	return jobfile.Edit(name, func(l *jobfile.Lines) error {
		if made {
			l.AddRound(roundName, round)
		}
		for _, t := range added {
			if err := l.Recording(roundName, t.Typed, t.File); err != nil {
				return err
			}
		}
		return nil
	})
}

// usedAlready refuses a recording that either round of the job has already.
func usedAlready(j *job.Job, added []job.Take) error {
	where := map[string]string{}
	for name, round := range map[string]*job.Round{reports.AsFound: j.AsFound, reports.AsLeft: j.AsLeft} {
		if round == nil {
			continue
		}
		for _, test := range round.Tests {
			if test.Sensitivity == nil {
				continue
			}
			for _, t := range test.Sensitivity.Takes {
				where[t.File] = name
			}
		}
	}
	for _, t := range added {
		if name, used := where[t.File]; used {
			return fmt.Errorf("%s: is in round %s already; nothing was added", t.File, name)
		}
	}
	return nil
}

// asWritten is a level as a person would write it: in µV where that says
// exactly the same.
func asWritten(l unit.Level) string {
	if l.Scale == unit.Absolute {
		text := strconv.FormatFloat(unit.MicrovoltPD(l.DB), 'g', 6, 64) + " uV PD"
		if back, err := unit.ParseLevel(text, unit.PD); err == nil && back.DB-l.DB < 1e-6 && l.DB-back.DB < 1e-6 {
			return text
		}
	}
	return l.String()
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
		case service.Natural(x, y):
			return -1
		case service.Natural(y, x):
			return 1
		}
		return 0
	})
	return files, nil
}

// showAdded shows file, level and SINAD of each recording, weakest first, and
// refuses them if the SINAD falls by more than its scatter while the level rises.
func (a *app) showAdded(j *job.Job, added []job.Take, test *job.SensitivityTest) error {
	s := service.Service{Version: version(), Dir: j.Dir, Progress: a.progress()}
	var files []string
	for _, t := range added {
		files = append(files, t.File)
	}
	record := s.Measure(files, job.Reading{Filter: test.Filter, ToneHz: test.ToneHz}, service.Use{})
	type row struct {
		take  job.Take
		sinad analyze.Reading
	}
	var rows []row
	for i, r := range record.Recordings {
		if r.Error != "" {
			return fmt.Errorf("%s: %s", r.File, r.Error)
		}
		rows = append(rows, row{added[i], r.Measured.Get(analyze.SINAD)})
	}
	slices.SortStableFunc(rows, func(x, y row) int {
		switch {
		case x.take.Level.Scale == unit.Off || x.take.Level.DB < y.take.Level.DB && y.take.Level.Scale != unit.Off:
			return -1
		}
		return 1
	})
	for i, r := range rows {
		text := "no tone"
		if r.sinad.OK() {
			text = fmt.Sprintf("SINAD %.1f dB", r.sinad.Value)
		}
		fmt.Fprintf(a.stdout, "  %-24s %-14s %s\n", r.take.File, r.take.Typed, text)
		if i == 0 || !rows[i-1].sinad.OK() || test.Criterion.Quantity != job.QuantitySINAD {
			continue
		}
		before := rows[i-1]
		falls := !r.sinad.OK() || r.sinad.High < before.sinad.Low
		// Where the set is at its best already, a little less with more signal is no mistake.
		const best, little = 30, 3
		matters := before.sinad.Value < best || !r.sinad.OK() || before.sinad.Value-r.sinad.Value > little
		if before.take.Level != r.take.Level && falls && matters {
			return fmt.Errorf("%s: the SINAD falls from %s to %s while the level rises: check which recording is which; nothing was added", r.take.File, before.take.Typed, r.take.Typed)
		}
	}
	return nil
}
