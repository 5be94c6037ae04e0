package truth_test

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/wav"
)

// file is a recording of samples as a file keeps them.
func file(t *testing.T, f wav.Format, x []float64) capture.Recording {
	t.Helper()
	path := filepath.Join(t.TempDir(), "x.wav")
	require.NoError(t, wav.WriteFile(path, f, x))
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	one, err := capture.Read(bytes.NewReader(b), int64(len(b)), "x.wav")
	require.NoError(t, err)
	return one.Channels[0]
}

// A tone of whole samples a period leaves its rounding in harmonics alone, and S/N
// would be beyond what its bits hold; one of another frequency, or with the noise
// that any converter has, shows no more than they do: 6.02 bits + 1.76 dB (Bennett
// 1948), and more for the band that is left out.
func TestToneBeyondItsBitsIsSaid(t *testing.T) {
	const rate = 8000
	passed := 10 * math.Log10((rate/2)/(3400.0-300.0))
	tone := func(hz, dither float64) []float64 {
		x := silence(rate, 3).tone(0.999, hz, 0.3).x
		r := seeded(17)
		for i := range x {
			x[i] += dither * (r.Float64() - r.Float64()) // triangular
		}
		return x
	}
	for name, c := range map[string]struct {
		f            wav.Format
		hz, dither   float64
		said         bool
		most, around float64
	}{
		"8 bits, whole periods":  {wav.Format{Rate: rate, Bits: 8}, 1000, 0, true, 0, 0},
		"16 bits, whole periods": {wav.Format{Rate: rate, Bits: 16}, 1000, 0, true, 0, 0},
		"24 bits, whole periods": {wav.Format{Rate: rate, Bits: 24}, 1000, 0, true, 0, 0},
		"float":                  {wav.Format{Rate: rate, Bits: 32, Float: true}, 1000, 0, true, 0, 0},
		"16 bits, any frequency": {wav.Format{Rate: rate, Bits: 16}, 1003.17, 0, false, 6.02*16 + 1.76 + passed, 0.3},
		"24 bits, any frequency": {wav.Format{Rate: rate, Bits: 24}, 1003.17, 0, false, 6.02*24 + 1.76 + passed, 0.3},
		"16 bits, dithered":      {wav.Format{Rate: rate, Bits: 16}, 1000, 1.0 / 32768, false, 6.02*16 + 1.76 - 4.77 + passed, 0.3},
		"8 bits, any frequency":  {wav.Format{Rate: rate, Bits: 8}, 1003.17, 0, false, 6.02*8 + 1.76 + passed, 1},
	} {
		m, err := reading.Measure(file(t, c.f, tone(c.hz, c.dither)), job.Reading{})
		require.NoError(t, err)
		healthy(t, m)
		assert.Equal(t, c.said, has(m, "not-recorded"), "%s: %v", name, m.Get(analyze.SNR))
		if !c.said {
			assert.InDelta(t, c.most, m.Get(analyze.SNR).Value, c.around, name)
		}
	}
}
