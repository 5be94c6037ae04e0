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
	"hisspoint/cmd/internal/run"
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
	record, err := run.Runner{}.Job(j)
	require.NoError(t, err)
	require.Len(t, record.Rounds, 2)
	truth, err := rounds[reports.AsLeft].bench().WithSeed(2000).Sensitivity(12, simulate.Band(300, 3400), 40)
	require.NoError(t, err)
	loss := rounds[reports.AsFound].receiver.FrontLossDB
	for i, want := range []float64{truth.Value + loss, truth.Value} {
		round := record.Rounds[i]
		point := round.Find(job.KindSensitivity, "").Result.Point
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
		assert.Len(t, round.Find(job.KindSensitivity, "").Result.Rows, 10)
	}
	for _, want := range []struct {
		kind, figure string
		values       [2]float64 // as found, as left: what the simulated set was given
		within       float64
	}{
		// Lines of a saw-tooth: -30 dB, 12 and 19 dB less: their sum is 0.3 dB above the first.
		{job.KindHumNoise, job.FigureHumBelow, [2]float64{29.68, 51.4}, 0.6},
		{job.KindSquelch, job.QuantityClosing, [2]float64{150, 150}, 5},
		{job.KindTransmitResponse, job.FigureTilt, [2]float64{-6.02, 0}, 0.15},
		// 1200 Hz of a tone and 0.8 % of its second harmonic, whose crests fall on those of the tone.
		{job.KindDeviation, job.FigureToneDeviation, [2]float64{1200, 1200}, 12},
	} {
		for i, round := range record.Rounds {
			test := round.Find(want.kind, "")
			require.NotNil(t, test, want.kind)
			assert.InDelta(t, want.values[i], test.Result.Get(want.figure).Value, want.within, "%s: %s", round.Name, want.kind)
		}
	}
	assert.Subset(t, hintNames(record.Rounds[0]), []string{"reservoir", "front-end", "bassy-transmit"})
	assert.Empty(t, hintNames(record.Rounds[1]))
	change := record.Change(job.KindSensitivity, "", job.QuantitySensitivity)
	require.NotNil(t, change)
	assert.True(t, change.Figure.Low < loss && loss < change.Figure.High, "%+v", change)
}

func hintNames(r reports.Round) []string {
	var all []string
	for _, h := range r.Hints {
		all = append(all, h.Name)
	}
	return all
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
	assert.Len(t, back.AsFound.Tests[1].Stanza.Takes, 10)
	assert.Len(t, back.AsLeft.Tests[1].Stanza.Takes, 10)
}

// A job with every kind of test gives figures for each, and none is refused.
func TestEveryKindOfTest(t *testing.T) {
	if os.Getenv("HISSPOINT_LONG") != "1" {
		t.Skip("set HISSPOINT_LONG=1 to simulate and measure every kind of test")
	}
	dir := filepath.Join(t.TempDir(), "job")
	j, err := Job(true)
	require.NoError(t, err)
	require.NoError(t, Prepare(dir))
	require.NoError(t, Record(dir, true, nil))
	j.Dir = dir
	record, err := run.Runner{}.Job(j)
	require.NoError(t, err)
	had := map[string]bool{}
	for _, round := range record.Rounds {
		for _, one := range round.Tests {
			had[one.Kind] = true
			if one.Result != nil {
				assert.Empty(t, one.Result.Why, "%s: %s", round.Name, one.Kind)
				assert.NotEmpty(t, one.Result.Figures, "%s: %s", round.Name, one.Kind)
			}
		}
	}
	for _, k := range job.Kinds() {
		if k.Fits(job.FM) {
			assert.True(t, had[k.Name], k.Name)
		}
	}
	for i, set := range []string{reports.AsFound, reports.AsLeft} {
		squelch := rounds[set].receiver.Squelch
		levels := record.Rounds[i].Find(job.KindSquelchLevels, "").Result
		opens, closes := levels.Get(job.FigureOpensAt), levels.Get(job.FigureClosesAt)
		assert.True(t, opens.Low <= squelch.OpenDBm && squelch.OpenDBm <= opens.High, "%+v", opens)
		assert.True(t, closes.Low <= squelch.CloseDBm && squelch.CloseDBm <= closes.High, "%+v", closes)
		assert.InDelta(t, 0, record.Rounds[i].Find(job.KindCentring, "").Result.Get(job.FigureCentre).Value, 150)
	}
}
