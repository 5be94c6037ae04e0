package reading

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
	"hisspoint/capture/job"
)

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
