package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// A rectifier's lines go on above 600 Hz: that is buzz, and neither noise nor lost. All
// is known in closed form.
func TestBuzzIsNoHiss(t *testing.T) {
	const rate = 16000
	s := silence(rate, 5).tone(0.3, 1000.7, 0)
	low, high, inBand := 0.0, 0.0, 0.0
	for k := 1; k <= 60; k++ {
		a, hz := 0.004/math.Sqrt(float64(k)), 50.02*float64(k)
		s.tone(a, hz, float64(k*k))
		switch {
		case k <= 12:
			low += a * a / 2
		case hz < 3400:
			high += a * a / 2
		}
		if hz > 300 {
			inBand += a * a / 2
		}
	}
	const sd = 0.004
	s.add(times(sd, noise(seeded(31), rate, len(s.x), between(20, 7900))))
	m := s.measure(t, job.Reading{})
	hiss := sd * sd * 3100 / 7880
	assert.InDelta(t, db(2*low), value(t, m, analyze.HumLevel), 0.1)
	assert.InDelta(t, 50.02, value(t, m, analyze.HumFrequency), 0.005)
	// Order 20 stands on 1000.4 Hz, 0.3 Hz beside the tone, and cannot be told from it.
	assert.InDelta(t, db(2*(high-0.004*0.004/20/2)), value(t, m, analyze.BuzzLevel), 0.3)
	assert.InDelta(t, db(2*hiss), value(t, m, analyze.NoiseLevel), 0.25)
	assert.InDelta(t, db((0.045+hiss+inBand)/(hiss+inBand)), value(t, m, analyze.SINAD), 0.15)
}

// Where no family stands out, a reading says what hum is at most; with a line just
// strong enough to matter, it says at least that.
func TestHumIsAtMost(t *testing.T) {
	for _, hum := range []float64{0, 2e-4} {
		s := silence(8000, 5).tone(0.3, 1000, 0).tone(hum, 50, 1).add(times(0.02, noise(seeded(32), 8000, 40000, between(20, 3900))))
		m := s.measure(t, job.Reading{})
		r := m.Get(analyze.HumLevel)
		require.True(t, r.Bounded, "hum of %g", hum)
		assert.Equal(t, analyze.WhyNoLine, r.Why)
		assert.False(t, r.OK())
		assert.Greater(t, r.High, db(math.Max(1e-12, hum*hum)))
		// Twelve lines, each with five times what noise gives it, would have been seen.
		assert.Less(t, r.High, db(2*12*5*0.02*0.02/3880/5))
		assert.Empty(t, m.HumLines)
	}
}

// A sub-audible tone on a multiple of the mains is a tone beside hum, and by itself.
func TestSubAudibleToneBesideHum(t *testing.T) {
	for _, hz := range []float64{250.3, 179.9, 151.4, 118.8} {
		for _, hum := range []bool{false, true} {
			s := silence(8000, 5).tone(0.3, 1000, 0).tone(0.03, hz, 2).add(times(0.003, noise(seeded(33), 8000, 40000, between(20, 3900))))
			if hum {
				s.tone(0.002, 50.01, 0).tone(0.003, 100.02, 1).tone(0.001, 200.04, 2)
			}
			m := s.measure(t, job.Reading{})
			assert.InDelta(t, hz, m.SubAudibleTone, 0.02)
			assert.InDelta(t, db(0.03*0.03), m.SubAudibleDBFS, 0.1)
			r := m.Get(analyze.HumLevel)
			require.Equal(t, hum, r.OK(), "%g Hz", hz)
			if hum {
				assert.InDelta(t, db(4e-6+9e-6+1e-6), r.Value, 0.3, "%g Hz", hz)
			}
		}
	}
}
