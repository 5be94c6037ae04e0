package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"hisspoint/analyze/limit"
	"hisspoint/capture/doors/write"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/cmd/internal/issue"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/customer"
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
	paper    string // of the PDFs
	language string // of the customer's pages; empty: as the job has it
	hashes   bool   // sums of files whole
	logo     *doc.Picture
}

func (p printing) customer(r reports.Job, j *job.Job) doc.Document {
	language := p.language
	if language == "" {
		language = j.PageLanguage()
	}
	d := customer.Of(r, j, *r.Issue, language)
	d.Picture = p.logo
	return d
}

func (p printing) annex(r reports.Job, j *job.Job) doc.Document {
	return report.Of(r, j, *r.Issue, p.hashes)
}

// resultFiles are written by every report, in this order.
var resultFiles = []resultFile{
	{"report.html", func(w io.Writer, r reports.Job, j *job.Job, p printing) error { return html.Write(w, p.customer(r, j)) }},
	{"report.pdf", func(w io.Writer, r reports.Job, j *job.Job, p printing) error {
		return pdf.Write(w, p.customer(r, j), p.paper)
	}},
	{"technical.html", func(w io.Writer, r reports.Job, j *job.Job, p printing) error { return html.Write(w, p.annex(r, j)) }},
	{"technical.pdf", func(w io.Writer, r reports.Job, j *job.Job, p printing) error {
		return pdf.Write(w, p.annex(r, j), p.paper)
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

// reportFlags are what `report` is told.
type reportFlags struct {
	out, revision       string
	asFound, draft      bool
	replace             bool
	showBudget, details bool
	printing
}

func (a *app) reportCommand() *cobra.Command {
	var f reportFlags
	c := &cobra.Command{
		Use:   "report [JOB]",
		Short: "Measures a whole job and writes its results and verdict",
		Long: `Runs every test of a job, in both rounds, and judges it. The answer is printed.
Beside the job are written report.html and report.pdf, two pages at most, for the
customer; technical.html and technical.pdf, the annex; report.json and series.csv.
JOB is a folder that holds job.yaml, or that file; in such a folder it may be
left out. A job counts its revisions, wherever they are written: the first is 1, dated by the job's issued, or the day that
SOURCE_DATE_EPOCH names, or that of the last test. A report that has changed since
takes a reason, --revision "why", and keeps the files before as report-r1.pdf and so
on. The same job gives the same files.

The as-left round decides the verdict and the exit code. A job without one, or
with --as-found, is judged as found. A round fails if any test, meter reading or
check fails; it passes only if all that have a limit pass, nothing that was
asked for is missing, and what failed as found was measured again. Meter readings
were read by eye: their value alone counts.`,
		Example: "  hisspoint report\n  hisspoint report 0417 --out finished\n  hisspoint report 0417 --draft\n  hisspoint report 0417 --revision \"serial number corrected\"\n  hisspoint report 0417 --as-found --budget",
		Args:    wantOneJob,
		RunE:    func(_ *cobra.Command, args []string) error { return a.report(jobNamed(args), f) },
	}
	c.Flags().StringVar(&f.out, "out", "", "`folder` to write to (default: the job's)")
	c.Flags().BoolVar(&f.replace, "replace", false, "replace files of these names that this program did not write")
	c.Flags().StringVar(&f.paper, "paper", pdf.A4, "`size` of the PDF's pages: a4 or letter")
	c.Flags().StringVar(&f.language, "language", "", "`language` of the customer's pages: en, de, fr or es (default: the job's)")
	c.Flags().StringVar(&f.revision, "revision", "", "`reason` for a new revision of a report that was issued")
	c.Flags().BoolVar(&f.draft, "draft", false, "write report-draft.pdf and the like, marked, without a revision")
	c.Flags().BoolVar(&f.hashes, "hashes", false, "sums of all files whole in the annex")
	c.Flags().BoolVar(&f.asFound, "as-found", false, "judge the set as it was found, and leave the as-left round out")
	c.Flags().BoolVar(&f.details, "details", false, "show every test whole, not the sensitivity only")
	c.Flags().BoolVar(&f.showBudget, "budget", false, "show where the uncertainty of each judged figure comes from")
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

func (a *app) report(name string, f reportFlags) error {
	if err := pdf.Check(f.paper); err != nil {
		return err
	}
	if f.language != "" && !slices.Contains(job.Languages, f.language) {
		return fmt.Errorf("--language: %q is none of %s", f.language, strings.Join(job.Languages, ", "))
	}
	j, err := jobfile.Load(name)
	if err != nil {
		return err
	}
	if f.asFound {
		if j.AsFound == nil {
			return fmt.Errorf("%s: has no as_found round; leave --as-found out", filepath.ToSlash(name))
		}
		j.AsLeft = nil
	}
	if j.Newest() == nil {
		return fmt.Errorf("%s: has no rounds yet; see what is missing with hisspoint job check", filepath.ToSlash(name))
	}
	if f.logo, err = letterhead(j); err != nil {
		return err
	}
	record, err := a.runner().Job(j)
	if err != nil {
		return err
	}
	if f.out == "" {
		f.out = j.Dir
	} else if err := write.Folder(f.out); err != nil {
		return fmt.Errorf("%s: cannot be made; name another folder with --out", filepath.ToSlash(f.out))
	}
	f.draft = f.draft || len(record.Worse()) > 0 && j.Reason == ""
	a.warnOfGlyphs(j)
	record.Issue, err = issueResults(f, record, j, a.askWhy())
	if shown := a.showReport(record, j, f, err == nil); shown != nil || err != nil {
		return errors.Join(err, shown)
	}
	return jobOutcome(record)
}

// askWhy asks on a terminal why a report is issued anew; elsewhere nobody is asked.
func (a *app) askWhy() func(reports.Issue) string {
	in, ok := a.stdin.(*os.File)
	if !ok || !term.IsTerminal(int(in.Fd())) {
		return nil
	}
	return func(last reports.Issue) string {
		fmt.Fprintf(a.stderr, "Revision %d was issued on %s, and the report has changed since. Why a new one? ", last.Revision, last.Date)
		text, _ := bufio.NewReader(in).ReadString('\n')
		return strings.TrimSpace(text)
	}
}

// together writes files into a folder, all or none.
func together(dir string, made []write.Part) error {
	if err := write.Together(dir, write.Private, made); err != nil {
		return fmt.Errorf("%s: nothing was written: %w", filepath.ToSlash(dir), err)
	}
	return nil
}

// issueResults writes the results into a folder, under their revision, all or none.
func issueResults(f reportFlags, record reports.Job, j *job.Job, ask func(reports.Issue) string) (*reports.Issue, error) {
	epoch, err := issueDate()
	if err != nil {
		return nil, err
	}
	date := epoch
	if date == "" && j.Newest() != nil {
		date = j.Newest().Tested
	}
	if j.Issued != "" {
		date = j.Issued
	}
	later := func() string {
		if epoch != "" {
			return epoch
		}
		return time.Now().Format(time.DateOnly)
	}
	issued, err := issue.Report(issue.Order{Job: j.Dir, Dir: f.out, Date: date, Later: later, Draft: f.draft, Why: f.revision, Ask: ask, Replace: f.replace,
		Make: filesOf(record, j, f.asTheJobHasIt()), Print: f.otherwise(record, j)})
	if err != nil {
		return nil, err
	}
	return &issued, nil
}

// filesOf makes the results of a job, to be written as printing says.
func filesOf(record reports.Job, j *job.Job, p printing) func(reports.Issue) ([]write.Part, error) {
	return func(i reports.Issue) ([]write.Part, error) {
		record.Issue = &i
		var files []write.Part
		for _, one := range resultFiles {
			var b bytes.Buffer
			if err := one.write(&b, record, j, p); err != nil {
				return nil, fmt.Errorf("%s: cannot be made: %w", one.name, err)
			}
			files = append(files, write.Part{Name: one.name, Data: b.Bytes()})
		}
		return files, nil
	}
}

// asTheJobHasIt is how a report is printed without flags, by which its revisions go.
func (p printing) asTheJobHasIt() printing { return printing{paper: pdf.A4, logo: p.logo} }

// otherwise makes the results as flags say; nil where they say nothing else than the job.
func (p printing) otherwise(record reports.Job, j *job.Job) func(reports.Issue) ([]write.Part, error) {
	if p.language == j.PageLanguage() {
		p.language = ""
	}
	p.paper = strings.ToLower(p.paper)
	if p == p.asTheJobHasIt() {
		return nil
	}
	return filesOf(record, j, p)
}

func (a *app) showReport(record reports.Job, j *job.Job, f reportFlags, written bool) error {
	switch {
	case a.json:
		return reports.WriteJSON(a.stdout, record)
	case a.quiet:
		blocks := append(report.Worse(record, j), report.Answer(record).Blocks...)
		if f.showBudget {
			blocks = append(blocks, report.Budget(record)...)
		}
		return a.show(doc.Document{Blocks: append(blocks, report.Verdict(record)...)})
	}
	d := report.Job(record, f.details)
	d.Blocks = append(report.Worse(record, j), d.Blocks...)
	d.Blocks = append(d.Blocks, report.ByEye(record)...)
	if f.showBudget {
		d.Blocks = append(d.Blocks, report.Budget(record)...)
	}
	d.Blocks = append(d.Blocks, report.Verdict(record)...)
	if err := a.show(d); err != nil || !written {
		return err
	}
	next := "Next: open report.html: page one is the customer's"
	if record.Newest().Overall.Outcome == limit.Undecided {
		next = "Next: hisspoint job check " + filepath.ToSlash(j.Dir) + "   says what is missing"
	}
	_, err := fmt.Fprintln(a.stdout, "\n"+folded("", "Written to "+filepath.ToSlash(f.out)+": "+writtenNames(*record.Issue)+".")+"\n"+next)
	return err
}

// writtenNames are the files of a report, and what they went out as.
func writtenNames(i reports.Issue) string {
	var names []string
	for _, f := range resultFiles {
		names = append(names, f.name)
	}
	if i.Draft {
		return "a draft, " + strings.Join(names, ", ") + ", each with -draft in its name"
	}
	of := ""
	if i.Date != "" {
		of = " of " + i.Date
	}
	return strings.Join(names, ", ") + fmt.Sprintf(" (revision %d%s)", i.Revision, of)
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
