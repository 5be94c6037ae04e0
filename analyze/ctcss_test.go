package analyze

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
	"hisspoint/capture/job"
)

// Every tone of the published list is known, and nothing else.
func TestStandardTonesAreThePublishedOnes(t *testing.T) {
	f, err := os.Open("../testdata/reference/ctcss_tones.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Len(t, standardTones, len(rows)-1)
	for i, row := range rows[1:] {
		hz, err := strconv.ParseFloat(row[0], 64)
		require.NoError(t, err)
		assert.Equal(t, hz, standardTones[i])
		near, within := StandardTone(hz * 1.004)
		assert.Equal(t, hz, near)
		assert.True(t, within)
	}
	_, within := StandardTone(80.9)
	assert.False(t, within)
}

// Frequency and level of a sub-audible tone below a louder one.
func TestSubAudibleToneAndLevel(t *testing.T) {
	x := make([]float64, 3*8000)
	for i := range x {
		s := float64(i) / 8000
		x[i] = 0.3*math.Sin(2*math.Pi*1000*s) + 0.05*math.Sin(2*math.Pi*88.5*s)
	}
	m, err := Measure(capture.FromSamples("a.wav", 8000, x), job.Reading{})
	require.NoError(t, err)
	assert.InDelta(t, 88.5, m.SubAudibleTone, 0.01)
	assert.InDelta(t, 20*math.Log10(0.05), m.SubAudibleDBFS, 0.02)
}
