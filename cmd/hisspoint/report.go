package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/cmd/internal/demo"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/report"
	"hisspoint/reports/html"
	"hisspoint/reports/pdf"
)

// resultFile is one form in which a job's results are written beside it.
type resultFile struct {
	name  string
	write func(io.Writer, reports.Job, *job.Job, printing) error
}

// printing is what the documents need beside the job.
type printing struct {
	paper  string // of the PDF
	issued string // year-month-day; empty: the day of the last test
}

// resultFiles are written by every report, in this order.
var resultFiles = []resultFile{
	{"report.html", func(w io.Writer, r reports.Job, j *job.Job, p printing) error {
		return html.Write(w, report.Of(r, j, p.issued))
	}},
	{"report.pdf", func(w io.Writer, r reports.Job, j *job.Job, p printing) error {
		return pdf.Write(w, report.Of(r, j, p.issued), p.paper)
	}},
	{"report.json", func(w io.Writer, r reports.Job, _ *job.Job, _ printing) error { return reports.WriteJSON(w, r) }},
	{"series.csv", func(w io.Writer, r reports.Job, _ *job.Job, _ printing) error {
		return reports.WriteSeriesCSV(w, r.Rounds...)
	}},
}

// issueDate is the day that SOURCE_DATE_EPOCH names (seconds since 1970, as
// reproducible-builds.org defines it), empty if it is not set. The clock is never
// asked: the same job gives the same files.
func issueDate() (string, error) {
	text := os.Getenv("SOURCE_DATE_EPOCH")
	if text == "" {
		return "", nil
	}
	seconds, err := strconv.ParseInt(text, 10, 64)
	if err != nil || seconds < 0 || seconds > 253402300799 { // the last second of the year 9999
		return "", fmt.Errorf("SOURCE_DATE_EPOCH: %q is no count of seconds since 1970; set one or unset it", text)
	}
	return time.Unix(seconds, 0).UTC().Format(time.DateOnly), nil
}

func (a *app) reportCommand() *cobra.Command {
	var out, paper string
	var asFound, showBudget, details bool
	c := &cobra.Command{
		Use:   "report [JOB]",
		Short: "Measures a whole job and writes its results and verdict",
		Long: `Runs every test of a job, in both rounds, and judges it. The answer is printed;
report.html, report.pdf, report.json and series.csv are written beside the job.
JOB is a folder that holds job.yaml, or that file; in such a folder it may be
left out. The same job gives the same files: the report's date is the job's
issued, or the day that SOURCE_DATE_EPOCH names, or that of the last test.

The as-left round decides the verdict and the exit code. A job without one, or
with --as-found, is judged as found. A round fails if any test, meter reading or
check fails; it passes only if all that have a limit pass and nothing that was
asked for is missing. Meter readings were read by eye: their value alone counts.`,
		Example: "  hisspoint report\n  hisspoint report 0417 --out finished\n  hisspoint report 0417 --as-found --budget",
		Args:    wantOneJob,
		RunE: func(_ *cobra.Command, args []string) error {
			return a.report(jobNamed(args), out, paper, asFound, showBudget, details)
		},
	}
	c.Flags().StringVar(&out, "out", "", "`folder` to write to (default: the job's)")
	c.Flags().StringVar(&paper, "paper", pdf.A4, "`size` of the PDF's pages: a4 or letter")
	c.Flags().BoolVar(&asFound, "as-found", false, "judge the set as it was found, and leave the as-left round out")
	c.Flags().BoolVar(&details, "details", false, "show every test whole, not the sensitivity only")
	c.Flags().BoolVar(&showBudget, "budget", false, "show where the uncertainty of each judged figure comes from")
	a.outputFlags(c)
	return c
}

// jobNamed is the job of a command line: that of the folder, if none is named.
func jobNamed(args []string) string {
	if len(args) == 0 {
		return "."
	}
	return args[0]
}

func wantOneJob(c *cobra.Command, args []string) error {
	if len(args) > 1 {
		return fmt.Errorf("%s: takes one job, not %d; see %s --help", c.CommandPath(), len(args), c.CommandPath())
	}
	return nil
}

func (a *app) report(name, out, paper string, asFound, showBudget, details bool) error {
	if err := pdf.Check(paper); err != nil {
		return err
	}
	j, err := jobfile.Load(name)
	if err != nil {
		return err
	}
	if asFound {
		if j.AsFound == nil {
			return fmt.Errorf("%s: has no as_found round; leave --as-found out", filepath.ToSlash(name))
		}
		j.AsLeft = nil
	}
	if j.Newest() == nil {
		return fmt.Errorf("%s: has no rounds yet; see what is missing with hisspoint job check", filepath.ToSlash(name))
	}
	record, err := a.runner().Job(j)
	if err != nil {
		return err
	}
	if out == "" {
		out = j.Dir
	} else if err := os.MkdirAll(out, 0o777); err != nil {
		return fmt.Errorf("%s: cannot be made; name another folder with --out", filepath.ToSlash(out))
	}
	if err := writeResults(out, record, j, paper); err != nil {
		return err
	}
	if err := a.showReport(record, out, showBudget, details); err != nil {
		return err
	}
	return jobOutcome(record)
}

// writeResults writes the results into a folder: first all of them in memory,
// so that one that cannot be made leaves none behind.
func writeResults(dir string, record reports.Job, j *job.Job, paper string) error {
	issued, err := issueDate()
	if err != nil {
		return err
	}
	if j.Issued != "" {
		issued = j.Issued
	}
	made := make([]bytes.Buffer, len(resultFiles))
	for i, f := range resultFiles {
		if err := f.write(&made[i], record, j, printing{paper, issued}); err != nil {
			return fmt.Errorf("%s: cannot be made: %w", f.name, err)
		}
	}
	for i, f := range resultFiles {
		if err := demo.WriteFile(filepath.Join(dir, f.name), made[i].Bytes()); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) showReport(record reports.Job, out string, showBudget, details bool) error {
	switch {
	case a.json:
		return reports.WriteJSON(a.stdout, record)
	case a.quiet:
		blocks := report.Answer(record).Blocks
		if showBudget {
			blocks = append(blocks, report.Budget(record)...)
		}
		return a.show(doc.Document{Blocks: append(blocks, report.Verdict(record)...)})
	}
	d := report.Job(record, details)
	d.Blocks = append(d.Blocks, report.ByEye(record)...)
	if showBudget {
		d.Blocks = append(d.Blocks, report.Budget(record)...)
	}
	d.Blocks = append(d.Blocks, report.Verdict(record)...)
	if err := a.show(d); err != nil {
		return err
	}
	fmt.Fprintf(a.stdout, "\nWritten to %s:", filepath.ToSlash(out))
	for i, f := range resultFiles {
		fmt.Fprint(a.stdout, map[bool]string{true: " ", false: ", "}[i == 0], f.name)
	}
	_, err := fmt.Fprintln(a.stdout)
	return err
}

// jobOutcome is the exit code of a job, nil for 0.
func jobOutcome(r reports.Job) error {
	switch r.Newest().Overall.Outcome {
	case limit.Fail:
		return outcome(exitFailed)
	case limit.Undecided:
		return outcome(exitUndecided)
	}
	return nil
}
