package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/cmd/internal/demo"
	"hisspoint/cmd/internal/plan"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/customer"
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

Writes a new folder, or overwrites that of an earlier demo; any other folder is
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
	return a.showDemo(dir, record, written)
}

// mostOnScreen is how many tests beside the complaints the demo shows: what fits 24 lines.
const mostOnScreen = 5

func (a *app) showDemo(dir string, record reports.Job, j *job.Job) error {
	switch {
	case a.json:
		return reports.WriteJSON(a.stdout, record)
	case a.quiet:
		return a.show(doc.Document{Blocks: append(report.Answer(record).Blocks, report.Verdict(record)...)})
	}
	name := filepath.ToSlash(dir)
	var d doc.Document // a title would take a line more, and 24 is what a terminal has
	d.Add(doc.Paragraph{Text: "Job " + record.Facts.Job + ": " + record.Facts.Set}, doc.Paragraph{Text: "SIMULATED: no radio was on a bench for these figures."})
	blocks, left := customer.Screen(record, j, mostOnScreen)
	d.Add(blocks...)
	d.Add(report.Short(record)...)
	if err := a.show(d); err != nil {
		return err
	}
	last := "Written to " + name + ". Open report.html there: page one is the customer's."
	if left > 0 {
		last += fmt.Sprintf("\n%d more tests: hisspoint report %s", left, name)
	}
	_, err := fmt.Fprintln(a.stdout, last+"\nNext: hisspoint report "+name+"   every level, the curves, likely causes")
	return err
}
