package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture/job"
)

// Mains that wander by up to 0.1 Hz and put strong lines into the band, one of them
// on its edge: SINAD counts noise and hum and is right (closed form: both as built),
// S/N is right or withheld, and the hum is no reason to refuse.
func TestWanderingHumKeepsSINAD(t *testing.T) {
	const rate, amplitude = 8000, 0.2
	for _, wander := range []float64{0, 0.03, 0.1} {
		for _, strength := range []float64{0.03, 0.3} {
			s := silence(rate, 10).tone(amplitude, 1000.3, 0)
			n := noise(seeded(3), rate, len(s.x), between(300, 3400))
			phase, noisePower, rest := 0.0, 0.0, 0.0
			for i := range s.x {
				phase += 2 * math.Pi * (50 + wander*math.Sin(2*math.Pi*float64(i)/rate/7)) / rate
				inside := 0.01 * n[i]
				noisePower += inside * inside / float64(len(n))
				for k, a := range []float64{1, 0.3, 0.3, 0.1, 0.1, 0.05, 0.05, 0.03, 0.02} {
					v := strength * a * math.Sin(float64(k+1)*phase)
					if k >= 5 {
						inside += v
					} else {
						s.x[i] += v
					}
				}
				s.x[i] += inside
				rest += inside * inside / float64(len(n))
			}
			m, err := reading.Measure(sixteen(rate, to16(s.x)), job.Reading{})
			require.NoError(t, err)
			tone := amplitude * amplitude / 2
			got := m.Get(analyze.SINAD)
			require.True(t, got.OK(), "wander %g Hz, hum %g: %s", wander, strength, got.Why)
			assert.InDelta(t, 10*math.Log10((tone+rest)/rest), got.Value, 0.05, "wander %g Hz, hum %g", wander, strength)
			if snr := m.Get(analyze.SNR); snr.OK() {
				assert.InDelta(t, 10*math.Log10(tone/noisePower), snr.Value, 0.15, "wander %g Hz, hum %g", wander, strength)
			}
		}
	}
}
