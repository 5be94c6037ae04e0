package issue

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/doors/disk"
	"hisspoint/capture/doors/write"
	"hisspoint/reports"
)

// order issues a report whose text is that of the job, with what it went out as.
func order(dir, text, why string) Order {
	return Order{Dir: dir, Date: "2026-11-02", Later: func() string { return "2026-11-09" }, Why: why,
		Make: func(i reports.Issue) ([]write.Part, error) {
			var files []write.Part
			for _, name := range []string{"report.html", "report.pdf", "series.csv"} {
				files = append(files, write.Part{Name: name, Data: fmt.Appendf(nil, "%s %s %d %s", name, text, i.Revision, i.Why)})
			}
			return files, nil
		}}
}

func content(t *testing.T, dir, name string) string {
	data, err := os.ReadFile(filepath.Join(dir, name))
	require.NoError(t, err)
	return string(data)
}

func TestWhatWasIssuedStays(t *testing.T) {
	dir := t.TempDir()
	first, err := Report(order(dir, "a", ""))
	require.NoError(t, err)
	assert.Equal(t, reports.Issue{Date: "2026-11-02", Revision: 1}, first)
	again, err := Report(order(dir, "a", "a reason that is not needed"))
	require.NoError(t, err)
	assert.Equal(t, first, again, "an unchanged job keeps its revision")

	_, err = Report(order(dir, "b", ""))
	assert.ErrorContains(t, err, "--revision")
	assert.Equal(t, "report.pdf a 1 ", content(t, dir, "report.pdf"), "nothing is written without a reason")

	second, err := Report(order(dir, "b", "typing error"))
	require.NoError(t, err)
	assert.Equal(t, reports.Issue{Date: "2026-11-09", Revision: 2, Replaces: 1, ReplacesDate: "2026-11-02", Why: "typing error"}, second)
	assert.Equal(t, "report.pdf a 1 ", content(t, dir, "report-r1.pdf"))
	assert.Equal(t, "report.pdf b 2 typing error", content(t, dir, "report.pdf"))
	repeated, err := Report(order(dir, "b", ""))
	require.NoError(t, err)
	assert.Equal(t, second, repeated)

	draft := order(dir, "c", "")
	draft.Draft = true
	_, err = Report(draft)
	require.NoError(t, err)
	assert.Equal(t, "report.pdf b 2 typing error", content(t, dir, "report.pdf"), "a draft touches nothing that was issued")
	assert.Equal(t, "report.pdf c 0 ", content(t, dir, "report-draft.pdf"))
}

// Whichever operation on the disk fails, a second issue is there whole or not at all, the
// first is not lost, and the same command brings it to its end.
func TestFailedInBetween(t *testing.T) {
	full := errors.New("no space left on device")
	for at := 1; ; at++ {
		dir := t.TempDir()
		_, err := Report(order(dir, "a", ""))
		require.NoError(t, err)
		count := 0
		restore := disk.Fail(func(string, string) error {
			if count++; count == at {
				return full
			}
			return nil
		})
		_, err = Report(order(dir, "b", "why"))
		restore()
		if count < at {
			require.NoError(t, err)
			return
		}
		now := "a 1 "
		if l, failed := load(dir); assert.NoError(t, failed) && len(l.Revisions) == 2 {
			now = "b 2 why"
		} else {
			assert.ErrorIs(t, err, full)
		}
		for _, name := range []string{"report.html", "report.pdf", "series.csv"} {
			assert.Equal(t, name+" "+now, content(t, dir, name), "operation %d", at)
		}
		_, err = Report(order(dir, "b", "why"))
		require.NoError(t, err)
		for _, name := range []string{"report.html", "report.pdf", "series.csv"} {
			assert.Equal(t, name+" a 1 ", content(t, dir, renamed(name, "r1")), "operation %d", at)
			assert.Equal(t, name+" b 2 why", content(t, dir, name))
		}
	}
}

func TestWhatIsNotOursStays(t *testing.T) {
	dir := t.TempDir()
	letter := filepath.Join(dir, "report.pdf")
	require.NoError(t, os.WriteFile(letter, []byte("%PDF-1.4 a letter"), 0o600))
	o := order(dir, "a", "")
	_, err := Report(o)
	assert.ErrorContains(t, err, "--replace")
	assert.Equal(t, "%PDF-1.4 a letter", content(t, dir, "report.pdf"))
	assert.NoFileExists(t, filepath.Join(dir, "report.html"))
	o.Replace = true
	_, err = Report(o)
	require.NoError(t, err)
}

func TestADamagedLedgerIssuesNothing(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, Name), []byte("{"), 0o644))
	_, err := Report(order(dir, "a", "x"))
	assert.ErrorContains(t, err, "nothing was issued")
	_, err = os.Stat(filepath.Join(dir, "report.pdf"))
	assert.ErrorIs(t, err, os.ErrNotExist)
}

// A job has one count of revisions, wherever its reports are written; what another revision
// left in a folder is kept there.
func TestOneCountForAllFolders(t *testing.T) {
	job, out := t.TempDir(), t.TempDir()
	to := func(dir, text, why string) Order {
		o := order(dir, text, why)
		o.Job = job
		return o
	}
	_, err := Report(to(job, "a", ""))
	require.NoError(t, err)
	second, err := Report(to(out, "b", "typing error"))
	require.NoError(t, err)
	assert.Equal(t, 2, second.Revision, "not 1 again")
	assert.Equal(t, "report.pdf a 1 ", content(t, job, "report.pdf"))
	assert.NoFileExists(t, filepath.Join(out, Name))

	again, err := Report(to(job, "b", ""))
	require.NoError(t, err)
	assert.Equal(t, second, again)
	assert.Equal(t, "report.pdf a 1 ", content(t, job, "report-r1.pdf"), "kept where it lay")
	assert.Equal(t, "report.pdf b 2 typing error", content(t, job, "report.pdf"))

	// A copy of the customer's signature is no part of what was issued, and is kept as well.
	require.NoError(t, os.WriteFile(filepath.Join(out, "report.pdf"), []byte("signed"), 0o600))
	_, err = Report(Order{Job: job, Dir: out, Later: func() string { return "2026-11-10" }, Why: "limit corrected", Make: order(out, "c", "").Make, Replace: true})
	require.NoError(t, err)
	assert.Equal(t, "signed", content(t, out, "report-r2.pdf"))
	assert.Equal(t, "report.html b 2 typing error", content(t, out, "report-r2.html"))
}

// Where the job's folder cannot be written nothing is issued, and the line says what to do.
func TestAJobThatCannotCount(t *testing.T) {
	job, out := t.TempDir(), t.TempDir()
	restore := disk.Fail(func(_, path string) error {
		if filepath.Dir(path) == job || path == job {
			return errors.New("read-only file system")
		}
		return nil
	})
	defer restore()
	o := order(out, "a", "")
	o.Job = job
	_, err := Report(o)
	assert.ErrorContains(t, err, "--draft")
	assert.NoFileExists(t, filepath.Join(out, "report.pdf"))
}
