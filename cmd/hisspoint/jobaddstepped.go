package main

import (
	"fmt"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/cmd/internal/plan"
	"hisspoint/reports/doc/report"
)

// addStepped puts one recording with many levels into a test, and shows the steps
// that were found in it. into makes the round or the test, if it is not there yet.
func (a *app) addStepped(j *job.Job, round *job.Round, file string, asked plan.Asked, f jobAddFlags, into func(*jobfile.Lines) error) error {
	found, err := plan.Stepped(a.runner(), j, round, file, asked)
	if err != nil {
		return err
	}
	var rows []report.AddedRow
	for _, p := range found.Found {
		rows = append(rows, report.AddedRow{File: fmt.Sprintf("%s, %.1f to %.1f s", file, p.From, p.To), Test: p.Label, Place: p.At, Tone: p.Tone, SINAD: p.SINAD})
	}
	if err := a.show(report.Added(rows)); err != nil {
		return err
	}
	for _, d := range found.Doubts {
		fmt.Fprintln(a.stderr, "warning: "+d)
	}
	if found.Wrong != "" {
		return fmt.Errorf("%s; nothing was added", found.Wrong)
	}
	return jobfile.Edit(f.job, a.command, func(l *jobfile.Lines) error {
		if err := into(l); err != nil {
			return err
		}
		if err := keepIdentity(l, j.Dir, file); err != nil {
			return err
		}
		return l.SetStepped(f.round, found.Test, file, found.Levels)
	})
}
