package demo

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/simulate"
	"hisspoint/cmd/internal/service"
	"hisspoint/reports"
)

// The measured points lie where the simulated sets have theirs, which the
// simulation reads from exact transform bins and not by the analysis. The deaf
// set is the healthy one behind 10 dB of loss, so its point lies 10 dB higher.
func TestAnswersAgainstTheSimulatedSets(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "job")
	j, err := Job(false)
	require.NoError(t, err)
	require.NoError(t, Prepare(dir))
	require.NoError(t, Record(dir, false, nil))
	j.Dir = dir
	record, err := service.Service{}.Job(j)
	require.NoError(t, err)
	require.Len(t, record.Rounds, 2)
	truth, err := rounds[reports.AsLeft].bench().WithSeed(2000).Sensitivity(12, simulate.Band(300, 3400), 40)
	require.NoError(t, err)
	loss := rounds[reports.AsFound].receiver.FrontLossDB
	for i, want := range []float64{truth.Value + loss, truth.Value} {
		round := record.Rounds[i]
		point := round.Find(job.KindSensitivity, "").Sensitivity.Result.Point
		require.Equal(t, analyze.Found, point.Status)
		share := -1.0
		for _, s := range point.Shares {
			if s.Name == "readings" {
				share = s.DB
			}
		}
		t.Logf("%s: measured %.3f dBm, truth %.3f +-%.3f dBm, standard uncertainty of the readings %.3f dB", round.Name, point.Level.DB, want, truth.StdErr, share)
		assert.Positive(t, share)
		assert.Less(t, share, 0.2)
		assert.LessOrEqual(t, math.Abs(point.Level.DB-want), 3*math.Hypot(share, truth.StdErr), round.Name)
		assert.True(t, point.Low < want && want < point.High, round.Name)
		assert.Len(t, round.Find(job.KindSensitivity, "").Sensitivity.Result.Series.Rows, 10)
	}
	change := record.Change(job.KindSensitivity, "", job.QuantitySensitivity)
	require.NotNil(t, change)
	assert.True(t, change.Figure.Low < loss && loss < change.Figure.High, "%+v", change)
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

// The job file says what the job is, and is read back as the same job.
func TestJobFile(t *testing.T) {
	j, err := Job(false)
	require.NoError(t, err)
	text, err := jobfile.Marshal(j)
	require.NoError(t, err)
	back, err := jobfile.Parse("job.yaml", text)
	require.NoError(t, err)
	assert.Equal(t, j, back)
	assert.NotEmpty(t, back.Simulated)
	assert.Len(t, back.AsFound.Tests[1].Sensitivity.Takes, 10)
	assert.Len(t, back.AsLeft.Tests[1].Sensitivity.Takes, 10)
}
