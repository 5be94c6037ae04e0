package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"hisspoint/capture/jobfile"
	"hisspoint/cmd/internal/demo"
	"hisspoint/cmd/internal/plan"
	"hisspoint/reports"
	"hisspoint/reports/doc/report"
	"hisspoint/reports/pdf"
)

func (a *app) demoCommand() *cobra.Command {
	var dir, named string
	c := &cobra.Command{
		Use:   "demo",
		Short: "Simulates a bench job, measures it and writes its report",
		Long: `Simulates a bench job and runs the real measuring on it: recordings of an
invented 27 MHz FM set as found (deaf, with hum, its voice dull) and as left, a job
file, and its report: two pages for the customer (report.html, report.pdf), the annex
(technical.html, technical.pdf), report.json and series.csv. Nothing in it was recorded from a set. With --plan full there are recordings for every
kind of test.

The folder is made anew, or taken from an earlier demo; any other that exists is
left alone.`,
		Example: "  hisspoint demo\n  hisspoint demo --dir trial",
		Args:    noArguments,
		RunE:    func(*cobra.Command, []string) error { return a.demo(dir, named) },
	}
	c.Flags().StringVar(&dir, "dir", "hisspoint-demo", "`folder` to write to")
	c.Flags().StringVar(&named, "plan", plan.Short, "`plan` of the job: short, or full for every kind of test")
	a.outputFlags(c)
	return c
}

func (a *app) demo(dir, named string) error {
	if named != plan.Short && named != plan.Full {
		return fmt.Errorf("--plan: %q is neither short nor full", named)
	}
	full := named == plan.Full
	invented, err := demo.Job(full)
	if err != nil {
		return err
	}
	if err := demo.Prepare(dir); err != nil {
		return err
	}
	if err := demo.Record(dir, full, a.progress()); err != nil {
		return err
	}
	if err := jobfile.Write(filepath.Join(dir, jobfile.Name), invented); err != nil {
		return err
	}
	// From here on it is a job like any other: what counts is what the files say.
	written, err := jobfile.Load(dir)
	if err != nil {
		return err
	}
	record, err := a.runner().Job(written)
	if err != nil {
		return err
	}
	if record.Issue, err = issueResults(reportFlags{out: dir, printing: printing{paper: pdf.A4}}, record, written, nil); err != nil {
		return err
	}
	return a.showDemo(dir, record)
}

func (a *app) showDemo(dir string, record reports.Job) error {
	switch {
	case a.json:
		return reports.WriteJSON(a.stdout, record)
	case a.quiet:
		return a.show(report.Answer(record))
	}
	if err := a.show(report.Job(record, false)); err != nil {
		return err
	}
	_, err := fmt.Fprintln(a.stdout, "\n"+folded("", "Written to "+filepath.ToSlash(dir)+": job.yaml, "+writtenNames(*record.Issue)+" and the recordings."))
	return err
}
