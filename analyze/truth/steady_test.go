package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// varied is a tone whose amplitude follows a curve, in noise that does not.
func varied(seed uint64, seconds, rms float64, amplitude func(t float64) float64) signal {
	s := silence(16000, seconds).tone(1, 1000.03, 0.1)
	s.each(func(i int, v float64) float64 { return 0.3 * v * amplitude(float64(i)/16000) })
	return s.add(times(rms, noise(seeded(seed), 16000, len(s.x), between(50, 3900))))
}

func keyed(on, period float64) func(float64) float64 {
	return func(t float64) float64 {
		if math.Mod(t, period) < on {
			return 1
		}
		return 0
	}
}

// A tone that comes and goes, or fades throughout, gets no figure that only a
// tone has, and the warning says why.
func TestNoSINADForAnUnsteadyTone(t *testing.T) {
	for name, amplitude := range map[string]func(float64) float64{
		"keyed":            keyed(0.5, 1),
		"keyed, mostly on": keyed(0.9, 1),
		"short marks":      keyed(0.1, 0.25),
		"fading":           func(t float64) float64 { return 1 + 0.9*math.Sin(2*math.Pi*0.6*t) },
		"fading, a bit":    func(t float64) float64 { return 1 + 0.2*math.Sin(2*math.Pi*0.8*t) },
	} {
		for _, rms := range []float64{0.003, 0.08} {
			m := varied(4, 6, rms, amplitude).measure(t, job.Reading{})
			assert.True(t, has(m, "unsteady"), "%s, noise %g: %v", name, rms, m.Warnings)
			for _, r := range []string{analyze.SINAD, analyze.THD, analyze.THDN, analyze.SNR, analyze.ToneLevel, analyze.ToneFrequency} {
				assert.NotEmpty(t, m.Get(r).Why, "%s, noise %g: %s", name, rms, r)
			}
		}
	}
}

// The longest steady part gives the figure the whole would have given, had it been steady.
func TestLongestSteadyPartIsUsed(t *testing.T) {
	const rms = 0.02
	truth := db((0.045 + rms*rms*3100/3850) / (rms * rms * 3100 / 3850))
	for name, c := range map[string]struct {
		amplitude func(float64) float64
		from, to  float64
	}{
		"late":      {func(t float64) float64 { return math.Min(1, math.Floor(t/1.5)) }, 1.5, 6},
		"early end": {func(t float64) float64 { return 1 - math.Floor(t/4.2) }, 0, 4.2},
		"louder":    {func(t float64) float64 { return 1 - 0.4*(1-math.Min(1, math.Floor(t/2))) }, 2, 6},
		"interrupted": {func(t float64) float64 {
			if t > 2 && t < 2.2 {
				return 0
			}
			return 1
		}, 2.2, 6},
	} {
		m := varied(5, 6, rms, c.amplitude).measure(t, job.Reading{})
		assert.True(t, has(m, "unsteady"), name)
		assert.InDelta(t, c.from, m.From, 0.1, name)
		assert.InDelta(t, c.to, m.To, 0.1, name)
		assert.GreaterOrEqual(t, m.From, c.from, name)
		assert.LessOrEqual(t, m.To, c.to, name)
		assert.InDelta(t, truth, value(t, m, analyze.SINAD), 0.25, name)
	}
}

// Speech, hiss and a carrier without modulation give no warning that makes no sense there.
func TestNoSenselessWarnings(t *testing.T) {
	senseless := []string{"clipped", "clipped-below-full-scale", "dc-offset", "dropped-samples", "gain-changed", "low-level",
		"coarse-steps", "rate-suspect", "bytes-swapped", "zero-run", "not-finite", "beyond-full-scale"}
	for i := range runs(10) {
		s := speech(seeded(uint64(300+i)), 8000, 3)
		s.add(times(0.001, noise(seeded(uint64(i)), 8000, len(s.x), between(100, 3900))))
		hiss := silence(8000, 3).add(times(0.1, noise(seeded(uint64(i)), 8000, 24000, between(300, 3400))))
		for name, x := range map[string]signal{"speech": s, "hiss": hiss} {
			m := x.measure(t, job.Reading{})
			for _, w := range m.Warnings {
				assert.NotContains(t, senseless, string(w.Code), "%s %d: %s", name, i, w.Says)
			}
			noSINAD(t, m, name)
			if name == "hiss" {
				assert.Empty(t, m.Warnings)
			}
		}
	}
}
