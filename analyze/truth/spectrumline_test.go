package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/kind"
)

// A sine of peak a has the level 20 log10 a dBFS (AES17). The Hann window's scallop
// loss is at most 1.42 dB (Harris, Proc. IEEE 66, 1978, table 1), so a line reads
// within that, never above.
func TestSpectrumReadsLinesAtTheirLevel(t *testing.T) {
	x := make([]float64, 24000)
	for i := range x {
		s := float64(i) / 24000
		x[i] = 0.5*math.Sin(2*math.Pi*1003*s) + 0.005*math.Sin(2*math.Pi*2006*s) + 0.001*math.Sin(2*math.Pi*100*s)
	}
	m := analyze.Measured{Readings: []analyze.Reading{{Name: analyze.ToneFrequency, Unit: "Hz", Value: 1003}, {Name: analyze.ToneLevel, Unit: "dBFS", Value: -6.0206}},
		Harmonics: []analyze.Harmonic{{Order: 2, Percent: 1}, {Order: 3, Percent: 0.001}}, HumLines: []analyze.HumLine{{FrequencyHz: 100, LevelDBFS: -60}}}
	lines, err := kind.Spectrum(sixteen(24000, x), m)
	require.NoError(t, err)
	near := func(hz float64) float64 {
		best := math.Inf(-1)
		for _, p := range lines[0].Points {
			if math.Abs(p.X-hz) < 12 {
				best = math.Max(best, p.Y)
			}
		}
		return best
	}
	for hz, db := range map[float64]float64{1003: -6.0206, 2006: -46.0206, 100: -60} {
		assert.LessOrEqual(t, near(hz), db+0.05)
		assert.GreaterOrEqual(t, near(hz), db-1.5)
	}
	var names []string
	for _, l := range lines[1:] {
		assert.Equal(t, analyze.RoleMark, l.Role)
		names = append(names, l.Name)
	}
	assert.Equal(t, []string{"tone", "harmonic 2", "hum 100 Hz"}, names)
	short, err := kind.Spectrum(sixteen(24000, x[:1000]), m)
	require.NoError(t, err)
	assert.Empty(t, short)
}
