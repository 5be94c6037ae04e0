package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/analyze/kind"
	"hisspoint/capture/job"
	"hisspoint/reports/sentence"
)

// Lines of known size over noise of known size, on any mains frequency and with
// one to several lines; also those of a full-wave rectifier, which reach into
// the speech band.
func TestHumOfKnownLines(t *testing.T) {
	const tone = 0.3
	for name, hum := range map[string]map[float64]float64{
		"50 Hz and multiples": {50: -50, 100: -44, 150: -55, 200: -60},
		"60 Hz, drifted":      {60.03: -52, 120.06: -46, 180.09: -58},
		"full wave":           {100: -40, 200: -48, 300: -52},
		"full wave, 60 Hz":    {120: -40, 240: -48, 360: -55},
		"one line":            {100: -45},
	} {
		const rate = 12000
		floor := noise(seeded(8), rate, 4*rate, between(20, 5000))
		floor = times(math.Sqrt(math.Pow(10, -6.2)/2/power(floor)), floor)
		off, sum, phase := silence(rate, 4).add(floor), 0.0, 0.3
		for hz, level := range hum {
			off.tone(math.Pow(10, level/20), hz, phase)
			sum += math.Pow(10, level/10)
			phase++
		}
		on := signal{rate: rate, x: append([]float64(nil), off.x...)}
		on.tone(tone, 1000, 0)
		r := testOf(job.KindHumNoise, job.FM).take(t, "1 mV modulated", on).take(t, "1 mV carrier", off).run(t, kind.HumNoise)
		rest := sum + math.Pow(10, -6.2)
		out := db(tone*tone + rest)
		assert.InDelta(t, out-db(rest), got(t, r, job.QuantityHumNoise), 0.02, name)
		assert.InDelta(t, out-db(sum), got(t, r, job.FigureHumBelow), 0.05, name)
		assert.InDelta(t, out+62, got(t, r, job.FigureNoiseBelow), 0.1, name)
		for hz, level := range hum {
			line := r.Rows[1].Get(analyze.HumAt + map[float64]string{50: "50", 100: "100", 150: "150", 200: "200", 300: "300",
				60.03: "60", 120.06: "120", 180.09: "180", 120: "120", 240: "240", 360: "360"}[hz])
			assert.InDelta(t, out-level, line.Value, 0.1, "%s: %g Hz", name, hz)
			assert.True(t, line.HasInterval() && line.Low < out-level+0.1 && line.High > out-level-0.1, "%+v", line)
		}
		assert.Equal(t, job.Wide, r.Setup.Reading.Filter.Name)
	}
}

func TestHumNoiseThroughAStatedFilter(t *testing.T) {
	off := speechNoise(1, 2, -50).tone(0.01, 100, 0)
	on := speechNoise(1, 2, -50).tone(0.01, 100, 0).tone(0.3, 1000, 0)
	b := testOf(job.KindHumNoise, job.FM).take(t, "1 mV modulated", on).take(t, "1 mV carrier", off)
	b.setup.Reading.Filter = job.Filter{Name: job.Band, Low: 300, High: 3400}
	r := b.run(t, kind.HumNoise)
	assert.InDelta(t, db(0.09+1e-5)+50, got(t, r, job.QuantityHumNoise), 0.02, "hum at 100 Hz does not pass")
}

func TestHumNoiseRefuses(t *testing.T) {
	quiet, modulated := speechNoise(2, 1, -50), speechNoise(3, 1, -50).tone(0.3, 1000, 0)
	new := func() *trial { return testOf(job.KindHumNoise, job.FM) }
	for why, b := range map[string]*trial{
		"needs the standard modulation": new().take(t, "1 mV carrier", quiet),
		"needs an unmodulated carrier":  new().take(t, "1 mV modulated", modulated),
		"b.wav has a tone of 1000 Hz":   new().take(t, "1 mV modulated", modulated).take(t, "1 mV carrier", modulated),
		"there is no tone in a.wav":     new().take(t, "1 mV modulated", quiet).take(t, "1 mV carrier", quiet),
		"b.wav is silent":               new().take(t, "1 mV modulated", modulated).take(t, "1 mV carrier", silence(12000, 1)),
		"at different levels":           new().take(t, "1 mV modulated", modulated).take(t, "1 uV carrier", quiet),
	} {
		r := b.run(t, kind.HumNoise)
		assert.Contains(t, r.Why, why)
		assert.Empty(t, r.Figures)
	}
	weak := new().take(t, "10 uV modulated", modulated).take(t, "10 uV carrier", quiet).run(t, kind.HumNoise)
	assert.Contains(t, sentence.Of(weak.Says[0]), "the signal is weak for this test")
}
