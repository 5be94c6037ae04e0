package issue

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/reports"
)

// order issues a report whose text is that of the job, with what it went out as.
func order(dir, text, why string) Order {
	return Order{Dir: dir, Date: "2026-11-02", Later: func() string { return "2026-11-09" }, Why: why,
		Make: func(i reports.Issue) ([]File, error) {
			var files []File
			for _, name := range []string{"report.html", "report.pdf", "series.csv"} {
				files = append(files, File{name, []byte(fmt.Sprintf("%s %s %d %s", name, text, i.Revision, i.Why))})
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

// Stopped behind any of its writes, a second issue loses nothing of the first, and the same
// command brings it to its end.
func TestKilledInBetween(t *testing.T) {
	for at := range 8 {
		dir := t.TempDir()
		_, err := Report(order(dir, "a", ""))
		require.NoError(t, err)
		l, err := read(dir)
		require.NoError(t, err)
		// What a run does up to its death: files kept one by one, then new ones one by one.
		steps := 0
		die := errors.New("killed")
		run := func() error {
			for name := range l.Revisions[0].Files {
				if steps == at {
					return die
				}
				steps++
				one := l.Revisions[0]
				one.Files = map[string]string{name: one.Files[name]}
				if err := keep(dir, one); err != nil {
					return err
				}
			}
			files, _ := order(dir, "b", "").Make(reports.Issue{Revision: 2, Why: "why"})
			for _, f := range files {
				if steps == at {
					return die
				}
				steps++
				if err := write(dir, []File{f}); err != nil {
					return err
				}
			}
			return die
		}
		require.ErrorIs(t, run(), die)
		now, err := Report(order(dir, "b", "why"))
		require.NoError(t, err)
		assert.Equal(t, 2, now.Revision)
		for _, name := range []string{"report.html", "report.pdf", "series.csv"} {
			assert.Equal(t, name+" a 1 ", content(t, dir, renamed(name, "r1")), "killed at step %d", at)
			assert.Equal(t, name+" b 2 why", content(t, dir, name))
		}
	}
}

func TestADamagedLedgerIssuesNothing(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, Name), []byte("{"), 0o644))
	_, err := Report(order(dir, "a", "x"))
	assert.ErrorContains(t, err, "nothing was issued")
	_, err = os.Stat(filepath.Join(dir, "report.pdf"))
	assert.ErrorIs(t, err, os.ErrNotExist)
}
