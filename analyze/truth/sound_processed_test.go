package truth_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze/reading"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
)

// Recordings through the processing that systems put before programs are told
// apart from clean ones of the same bench.
func TestProcessedAudio(t *testing.T) {
	const rate = 16000
	for name, process := range map[string]func(x []float64) []float64{
		"suppression, quick":     func(x []float64) []float64 { return simulate.SubtractNoise(x, rate, 0.3, -20) },
		"suppression, slow":      func(x []float64) []float64 { return simulate.SubtractNoise(x, rate, 1, -12) },
		"automatic gain up":      func(x []float64) []float64 { return simulate.AutoGain(x, rate, 0.7, 0.25) },
		"echo cancelling, quick": func(x []float64) []float64 { return simulate.CancelEcho(x, rate, 0.06, 0.1) },
		"echo cancelling, late":  func(x []float64) []float64 { return simulate.CancelEcho(x, rate, 0.25, 0.4) },
		"automatic gain down":    func(x []float64) []float64 { return simulate.AutoGain(x, rate, 0.7, 0.03) },
	} {
		for _, level := range []float64{-118, -112, -105} {
			for seed := range uint64(2) {
				x := bench(500+seed).Take(level, 8)
				m, err := reading.Measure(sixteen(rate, to16(process(x))), job.Reading{})
				require.NoError(t, err)
				healthy(t, m)
				assert.True(t, has(m, "processed-audio"), "%s at %g dBm: %v", name, level, m.Warnings)
			}
		}
	}
}

// A tone that is switched off, or follows a generator turned down in steps, was
// not taken away by any processing.
func TestTurnedDownIsNotProcessed(t *testing.T) {
	const rate = 16000
	for name, amplitude := range map[string]func(s float64) float64{
		"off":      func(s float64) float64 { return map[bool]float64{true: 1}[s < 1.007] },
		"off soon": func(s float64) float64 { return map[bool]float64{true: 1}[s < 0.3] },
		"steps":    func(s float64) float64 { return gain(-6 * float64(int(s))) },
		"keyed":    func(s float64) float64 { return float64((int(2*s) + 1) % 2) },
	} {
		s := silence(rate, 6).tone(0.3, 1000.3, 0)
		for i := range s.x {
			s.x[i] *= amplitude(float64(i) / rate)
		}
		s.add(times(0.01, noise(seeded(5), rate, len(s.x), between(300, 3400))))
		m, err := reading.Measure(sixteen(rate, to16(s.x)), job.Reading{})
		require.NoError(t, err)
		assert.True(t, has(m, "unsteady"), name)
		assert.False(t, has(m, "processed-audio"), "%s: %v", name, m.Warnings)
	}
}
