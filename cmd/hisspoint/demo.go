package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"hisspoint/capture/jobfile"
	"hisspoint/cmd/internal/demo"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/pdf"
)

func (a *app) demoCommand() *cobra.Command {
	var dir string
	c := &cobra.Command{
		Use:   "demo",
		Short: "Simulates a bench job, measures it and writes its report",
		Long: `Simulates a bench job and runs the real measuring on it: recordings of an
invented 27 MHz FM set, ten generator levels as found (with a deaf front end) and
ten as left, a job file, and its report: report.html, report.pdf, report.json and
series.csv. Nothing in it was recorded from a set.

The folder is made anew, or taken from an earlier demo; any other that exists is
left alone.`,
		Example: "  hisspoint demo\n  hisspoint demo --dir trial",
		Args:    noArguments,
		RunE:    func(*cobra.Command, []string) error { return a.demo(dir) },
	}
	c.Flags().StringVar(&dir, "dir", "hisspoint-demo", "`folder` to write to")
	a.outputFlags(c)
	return c
}

func (a *app) demo(dir string) error {
	invented, err := demo.Job()
	if err != nil {
		return err
	}
	if err := demo.Prepare(dir); err != nil {
		return err
	}
	if err := demo.Record(dir, invented, a.progress()); err != nil {
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
	record, err := a.service().Job(written)
	if err != nil {
		return err
	}
	if err := writeResults(dir, record, written, pdf.A4); err != nil {
		return err
	}
	return a.showDemo(dir, record)
}

func (a *app) showDemo(dir string, record reports.Job) error {
	switch {
	case a.json:
		return reports.WriteJSON(a.stdout, record)
	case a.quiet:
		return a.show(doc.JobAnswer(record))
	}
	if err := a.show(doc.Job(record)); err != nil {
		return err
	}
	_, err := fmt.Fprintf(a.stdout, "\nWritten to %s: job.yaml, report.html, report.pdf, report.json, series.csv and the recordings.\n", filepath.ToSlash(dir))
	return err
}
