package run

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/wav"
	"hisspoint/reports"
)

// writeSine writes a second of 1 kHz at a level in dBFS.
func writeSine(t *testing.T, path string, dbfs float64) {
	t.Helper()
	x := make([]float64, 8000)
	for i := range x {
		x[i] = math.Pow(10, dbfs/20) * math.Sin(2*math.Pi*1000*float64(i)/8000)
	}
	require.NoError(t, wav.WriteFile(path, wav.Format{Rate: 8000, Bits: 16}, x))
}

// A meter that read 1 V while a sine of -20 dBFS was recorded puts full scale at
// 10 V, whatever was stated of the card.
func TestMeterCalibratesItsRound(t *testing.T) {
	dir := t.TempDir()
	writeSine(t, filepath.Join(dir, "a.wav"), -20)
	stated := 3.0
	r := &job.Round{Tests: []job.Test{{Kind: job.KindDistortion, Stanza: &job.Stanza{Takes: []job.Take{{File: "a.wav", MeasuredVolts: 1}}}}}}
	j := &job.Job{ID: "1", Dir: dir, AsFound: r, Equipment: []job.Equipment{{What: "sound card", FullScaleVolts: &stated}}}
	record, err := Runner{}.Job(j)
	require.NoError(t, err)
	volts := record.Rounds[0].Find(job.KindDistortion, "").Result.Get("level_volts")
	require.True(t, volts.OK(), volts.Why)
	assert.InDelta(t, 1, volts.Value, 0.001)
}

// With another input gain the levels of the rounds are of two scales.
func TestChangedGainKeepsLevelsApart(t *testing.T) {
	dir := t.TempDir()
	round := func(name, gain string, dbfs float64) *job.Round {
		writeSine(t, filepath.Join(dir, name), dbfs)
		r := &job.Round{Tests: []job.Test{{Kind: job.KindDistortion, Stanza: &job.Stanza{Takes: []job.Take{{File: name}}}}}}
		r.Conditions.InputGain = gain
		return r
	}
	j := &job.Job{ID: "1", Dir: dir, AsFound: round("a.wav", "60 %", -20), AsLeft: round("b.wav", "70 %", -14)}
	record, err := Runner{}.Job(j)
	require.NoError(t, err)
	require.Len(t, record.Rounds, 2)
	assert.Nil(t, record.Change(job.KindDistortion, "", "tone_level"))
	j.AsLeft.Conditions.InputGain = "60 %"
	record, err = Runner{}.Job(j)
	require.NoError(t, err)
	require.NotNil(t, record.Change(job.KindDistortion, "", "tone_level"))
	assert.InDelta(t, 6, record.Change(job.KindDistortion, "", "tone_level").Figure.Value, 0.01)
	assert.Equal(t, reports.AsLeft, record.Rounds[1].Name)
}
