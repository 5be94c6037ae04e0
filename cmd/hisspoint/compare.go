package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/capture/doors/write"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/reports"
	"hisspoint/reports/doc/report"
	"hisspoint/reports/html"
	"hisspoint/reports/pdf"
)

func (a *app) compareCommand() *cobra.Command {
	var out, paper string
	c := &cobra.Command{
		Use:   "compare [JOB [JOB...]]",
		Short: "Puts the rounds of a job, or several jobs, side by side",
		Long: `Measures jobs and shows every figure side by side, with the change and its
uncertainty, and the curves in one picture.

One job: its two rounds. Two jobs: the newest round of each, the second less the
first. Three and more: the last one is compared with the spread of those before it,
say earlier sets of the model: their mean, their standard deviation, and where one
more would lie with a probability of 95 %, if three or more gave the figure.

What is shared cancels: between the rounds of a job all of the bench; between jobs
the generator, if all of them state one serial number and one date of calibration.
Else the generator of each job counts, and a pad always does. Levels in dBFS are
compared only if one sound card with one serial and one input gain is stated.

With --out, compare.html and compare.pdf are written into a folder. Exit code 2 says
that no figure could be compared.`,
		Example: "  hisspoint compare 0417\n  hisspoint compare 0388 0417\n  hisspoint compare 0301 0322 0388 0417 --out comparison",
		RunE:    func(_ *cobra.Command, args []string) error { return a.compare(args, out, paper) },
	}
	c.Flags().StringVar(&out, "out", "", "`folder` to write compare.html and compare.pdf to")
	c.Flags().StringVar(&paper, "paper", pdf.A4, "`size` of the PDF's pages: a4 or letter")
	a.outputFlags(c)
	return c
}

func (a *app) compare(args []string, out, paper string) error {
	if err := pdf.Check(paper); err != nil {
		return err
	}
	issued, err := issueDate()
	if err != nil {
		return err
	}
	if len(args) == 0 {
		args = []string{"."}
	}
	jobs := make([]*job.Job, len(args))
	for i, name := range args {
		if jobs[i], err = jobfile.Load(name); err != nil {
			return err
		}
		switch {
		case len(args) == 1 && (jobs[i].AsFound == nil || jobs[i].AsLeft == nil):
			return fmt.Errorf("%s: has one round only; name another job to compare it with", filepath.ToSlash(name))
		case jobs[i].Newest() == nil:
			return fmt.Errorf("%s: has no rounds yet; see what is missing with hisspoint job check", filepath.ToSlash(name))
		}
	}
	record, err := a.compared(jobs)
	if err != nil {
		return err
	}
	if out != "" {
		if err := writeComparison(out, record, issued, paper); err != nil {
			return err
		}
	}
	if err := a.showComparison(record, out, issued); err != nil {
		return err
	}
	if record.Any() {
		return nil
	}
	return outcome(exitUndecided)
}

// compared measures the jobs and puts them side by side.
func (a *app) compared(jobs []*job.Job) (reports.Compare, error) {
	var sides []reports.Side
	var last reports.Job
	for _, j := range jobs {
		if len(jobs) > 1 && j.AsLeft != nil { // the round that decides is all that is asked for
			j.AsFound = nil
		}
		r, err := a.runner().Job(j)
		if err != nil {
			return reports.Compare{}, err
		}
		last = r
		sides = append(sides, reports.Side{Label: labelOf(j, sides), Facts: r.Facts, Round: *r.Newest()})
	}
	if len(jobs) == 1 {
		return reports.CompareRounds(last), nil
	}
	return reports.CompareJobs(last.Version, sides, shared(jobs, "signal generator", calibration), shared(jobs, "sound card", gain)), nil
}

// labelOf names a job; one that bears the number of another is counted.
func labelOf(j *job.Job, before []reports.Side) string {
	label := "job " + j.ID
	n := 1
	for _, s := range before {
		if s.Facts.Job == j.ID {
			n++
		}
	}
	if n > 1 {
		label += fmt.Sprintf(" (%d)", n)
	}
	return label
}

func calibration(e job.Equipment) string { return e.Calibrated }

func gain(e job.Equipment) string { return e.InputGain }

// shared tells whether all jobs state one instrument of a kind with one serial
// number, set or adjusted alike.
func shared(jobs []*job.Job, what string, state func(job.Equipment) string) bool {
	first := ""
	for i, j := range jobs {
		key := ""
		for _, e := range j.AllEquipment() {
			if strings.EqualFold(e.What, what) && e.Serial != "" {
				key = e.Serial + "\n" + state(e)
			}
		}
		if i == 0 {
			first = key
		}
		if key == "" || key != first {
			return false
		}
	}
	return true
}

func (a *app) showComparison(record reports.Compare, out, issued string) error {
	if a.json {
		return reports.WriteJSON(a.stdout, record)
	}
	d := report.Compare(record, issued, false)
	if a.quiet {
		d = report.CompareAnswer(record)
	}
	if err := a.show(d); err != nil {
		return err
	}
	if out != "" && !a.quiet {
		fmt.Fprintf(a.stdout, "\nWritten to %s: compare.html, compare.pdf\n", filepath.ToSlash(out))
	}
	return nil
}

func writeComparison(out string, record reports.Compare, issued, paper string) error {
	if err := write.Folder(out); err != nil {
		return fmt.Errorf("%s: cannot be made; name another folder with --out", filepath.ToSlash(out))
	}
	d := report.Compare(record, issued, true)
	var page, pages bytes.Buffer
	if err := html.Write(&page, d); err != nil {
		return fmt.Errorf("compare.html: cannot be made: %w", err)
	}
	if err := pdf.Write(&pages, d, paper); err != nil {
		return fmt.Errorf("compare.pdf: cannot be made: %w", err)
	}
	return together(out, []write.Part{{Name: "compare.html", Data: page.Bytes()}, {Name: "compare.pdf", Data: pages.Bytes()}})
}
