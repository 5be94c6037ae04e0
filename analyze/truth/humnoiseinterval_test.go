package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/analyze/kind"
	"hisspoint/capture/job"
)

// The intervals of what is new in comparisons of recordings (the whole output,
// single lines and sums of harmonics) hold the truth as often as they say: 150
// seeded pairs of 1 s. Of 150 intervals of 95 %, 136 to 149 hold it in 99 of 100
// runs (binomial).
func TestIntervalsOfComparisonsHoldTheTruth(t *testing.T) {
	const rate, n, tries = 8000, 8000, 150
	const tone, hum = 0.2, 0.004
	const density = 1e-5 // mean square of the noise from 20 to 3600 Hz, all of its band
	inside := map[string]int{}
	for i := range tries {
		r := seeded(uint64(1000 + i))
		flat := func() []float64 {
			x := make([]float64, n)
			for j := range x {
				x[j] = math.Sqrt(density) * r.NormFloat64()
			}
			return x
		}
		carrier := signal{rate: rate, x: flat()}.tone(hum, 100, r.Float64()*6)
		modulated := signal{rate: rate, x: flat()}.tone(hum, 100, r.Float64()*6).tone(tone, 1000, r.Float64()*6).
			tone(tone*0.004, 2000, r.Float64()*6).tone(tone*0.003, 3000, 1)
		res := testOf(job.KindHumNoise, job.FM).take(t, "1 mV modulated", modulated).take(t, "1 mV carrier", carrier).run(t, kind.HumNoise)
		// wide is 20 Hz to 0.45 of the rate; white noise has 3580 of its 4000 Hz in it.
		noise := density * 3580 / 4000
		rest := noise + hum*hum/2
		on := tone*tone/2*(1+0.004*0.004+0.003*0.003) + rest
		check := func(f analyze.Reading, truth float64) {
			if f.HasInterval() && f.Low <= truth && truth <= f.High {
				inside[f.Name]++
			}
		}
		check(res.Get(job.QuantityHumNoise), db(on/rest))
		check(res.Get(job.FigureNoiseBelow), db(on/noise))
		check(res.Rows[1].Get(analyze.HumAt+"100"), db(on/(hum*hum/2)))
		d := testOf(job.KindDistortion, job.FM).take(t, "1 mV modulated", modulated)
		d.setup.Reading.Filter.Name = job.Wide
		dist := d.run(t, kind.Distortion)
		check(dist.Get(job.FigureEvenHarmonics), 0.4)
		check(dist.Get(job.FigureOddHarmonics), 0.3)
		check(dist.Rows[0].Get(analyze.HarmonicOf+"2"), 0.4)
	}
	for _, name := range []string{job.QuantityHumNoise, job.FigureNoiseBelow, analyze.HumAt + "100", job.FigureEvenHarmonics, job.FigureOddHarmonics, analyze.HarmonicOf + "2"} {
		t.Logf("%s: %d of %d", name, inside[name], tries)
		assert.True(t, inside[name] >= 136 && inside[name] <= 149, "%s: %d of %d", name, inside[name], tries)
	}
}

// Distortion gives each harmonic with its interval, even and odd apart.
func TestDistortionByHarmonic(t *testing.T) {
	s := speechNoise(1, 2, -60).each(func(i int, x float64) float64 { return x + 1e-4*math.Sin(float64(i*i)) }).tone(0.3, 1000, 0).tone(0.009, 2000, 1).tone(0.003, 3000, 2).tone(0.0012, 4000, 2)
	b := testOf(job.KindDistortion, job.FM).take(t, "1 mV modulated", s)
	r := b.run(t, kind.Distortion)
	assert.InDelta(t, math.Hypot(3, 0.4), got(t, r, job.FigureEvenHarmonics), 0.02)
	assert.InDelta(t, 1, got(t, r, job.FigureOddHarmonics), 0.02)
	assert.InDelta(t, math.Sqrt(9+1+0.16), got(t, r, analyze.THD), 0.02)
	for name, want := range map[string]float64{"2": 3, "3": 1, "4": 0.4} {
		h := r.Get(analyze.HarmonicOf + name)
		assert.True(t, h.HasInterval() && h.Low < want && want < h.High && h.High-h.Low < 0.2, "%+v", h)
	}

	weak := testOf(job.KindDistortion, job.FM).take(t, "1 uV modulated", speechNoise(1, 1, -25).tone(0.3, 1000, 0)).run(t, kind.Distortion)
	assert.Contains(t, weak.Why, "holds too much noise to tell distortion")
	other := testOf(job.KindDistortion, job.FM).take(t, "1 mV modulated", speechNoise(1, 1, -50).tone(0.3, 400, 0)).run(t, kind.Distortion)
	assert.Contains(t, other.Why, "a.wav has a tone of 400 Hz, not of 1000 Hz")
}
