package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
)

// Recordings through the processing that systems put before programs are told
// apart from clean ones of the same bench.
func TestProcessedAudio(t *testing.T) {
	const rate = 16000
	for name, process := range map[string]func(x []float64) []float64{
		"suppression, quick":  func(x []float64) []float64 { return simulate.SubtractNoise(x, rate, 0.3, -20) },
		"suppression, slow":   func(x []float64) []float64 { return simulate.SubtractNoise(x, rate, 1, -12) },
		"automatic gain up":   func(x []float64) []float64 { return simulate.AutoGain(x, rate, 0.7, 0.25) },
		"automatic gain down": func(x []float64) []float64 { return simulate.AutoGain(x, rate, 0.7, 0.03) },
	} {
		for _, level := range []float64{-118, -112, -105} {
			for seed := range uint64(2) {
				x := bench(500+seed).Take(level, 8)
				m, err := analyze.Measure(sixteen(rate, to16(process(x))), job.Reading{})
				require.NoError(t, err)
				healthy(t, m)
				assert.True(t, has(m, "processed-audio"), "%s at %g dBm: %v", name, level, m.Warnings)
			}
		}
	}
}
