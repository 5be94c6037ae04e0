package demo

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/simulate"
	"hisspoint/cmd/internal/service"
	"hisspoint/reports"
)

// The measured points lie where the simulated sets have theirs, which the
// simulation reads from exact transform bins and not by the analysis.
func TestAnswersAgainstTheSimulatedSets(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "job")
	rounds, err := Rounds()
	require.NoError(t, err)
	require.NoError(t, Prepare(dir))
	require.NoError(t, Record(dir, rounds, nil))
	for _, r := range rounds {
		record, err := service.Service{Dir: dir}.Sensitivity(r.Test, service.Use{})
		require.NoError(t, err)
		point := record.Result.Point
		require.Equal(t, analyze.Found, point.Status)
		truth, err := r.bench().Sensitivity(r.Test.Criterion.Value, simulate.Band(300, 3400), 40)
		require.NoError(t, err)
		share := -1.0
		for _, s := range point.Shares {
			if s.Name == "readings" {
				share = s.DB
			}
		}
		t.Logf("%s: measured %.3f dBm, truth %.3f +-%.3f dBm, standard uncertainty of the readings %.3f dB", r.Name, point.Level.DB, truth.Value, truth.StdErr, share)
		assert.Positive(t, share)
		assert.Less(t, share, 0.2)
		assert.LessOrEqual(t, math.Abs(point.Level.DB-truth.Value), 3*math.Hypot(share, truth.StdErr), r.Name)
		assert.True(t, point.Low < truth.Value && truth.Value < point.High, r.Name)
		assert.Len(t, record.Result.Series.Rows, 10)
	}
}

func TestPrepareLeavesOtherFoldersAlone(t *testing.T) {
	dir := t.TempDir()
	assert.EqualError(t, Prepare(dir), filepath.ToSlash(dir)+": exists and is not a demo's folder; nothing was written; name another with --dir")
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, left)

	// A file of that name that says something else is no marker.
	require.NoError(t, os.WriteFile(filepath.Join(dir, Marker), []byte("mine"), 0o644))
	assert.Error(t, Prepare(dir))

	fresh := filepath.Join(dir, "a", "b")
	require.NoError(t, Prepare(fresh))
	require.NoError(t, Prepare(fresh), "its own folder is taken again")
}

func TestNoHalfWrittenFiles(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "report.json")
	require.NoError(t, os.Mkdir(path, 0o755)) // renaming a file onto a folder fails
	assert.Error(t, WriteFile(path, []byte("{}")))
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, left, 1, "nothing stays beside it")
}

func TestJobFileNamesEveryRecording(t *testing.T) {
	rounds, err := Rounds()
	require.NoError(t, err)
	text := string(JobFile(rounds))
	for _, r := range rounds {
		assert.Contains(t, text, "\n  "+r.Name+":\n")
		for _, take := range r.Test.Takes {
			assert.Contains(t, text, "{level: "+take.Typed+", file: "+take.File+"}")
		}
	}
	assert.NotEmpty(t, Facts().Simulated)
	assert.Equal(t, reports.AsFound, rounds[0].Name)
}
