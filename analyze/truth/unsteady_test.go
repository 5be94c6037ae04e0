package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/reports/sentence"
)

// A tone that is keyed, fades or is gone half of the time is no standard tone:
// either it gets no SINAD, or the recording is said to be unsteady.
func TestUnsteadyTones(t *testing.T) {
	slow := func(seed uint64, hz float64) func(float64) float64 { // a Rayleigh envelope
		i := noise(seeded(seed), 1000, 4000, between(0.1, hz))
		q := noise(seeded(seed+50), 1000, 4000, between(0.1, hz))
		return func(s float64) float64 { k := min(3999, int(s*1000)); return math.Hypot(i[k], q[k]) }
	}
	for name, envelope := range map[string]func(s float64) float64{
		"keyed at 1 Hz":         func(s float64) float64 { return math.Mod(math.Floor(2*s), 2) },
		"keyed at 2.5 Hz":       func(s float64) float64 { return math.Mod(math.Floor(5*s), 2) },
		"keyed at 8 Hz":         func(s float64) float64 { return math.Mod(math.Floor(16*s), 2) },
		"second half only":      func(s float64) float64 { return math.Floor(s / 2) },
		"second quarter only":   func(s float64) float64 { return math.Max(0, 1-math.Abs(math.Floor(s)-1)) },
		"beating at 1 Hz":       func(s float64) float64 { return math.Cos(math.Pi * s) },
		"fading, full, 0.5 Hz":  func(s float64) float64 { return 0.5 + 0.5*math.Cos(math.Pi*s) },
		"fading, full, 3 Hz":    func(s float64) float64 { return 0.5 + 0.5*math.Cos(6*math.Pi*s) },
		"Rayleigh fading, 1 Hz": slow(1, 1),
		"Rayleigh fading, 5 Hz": slow(2, 5),
		"decaying":              func(s float64) float64 { return math.Exp(-s) },
		"rising in steps":       func(s float64) float64 { return 0.25 * (1 + math.Floor(s)) },
	} {
		s := silence(8000, 4).tone(0.2, 1000, 0).each(func(i int, x float64) float64 { return x * envelope(float64(i)/8000) })
		s.add(times(0.01, noise(seeded(6), 8000, len(s.x), between(200, 3900))))
		m := s.measure(t, job.Reading{})
		r := m.Get(analyze.SINAD)
		unsteady := false
		for _, c := range codes(m) {
			unsteady = unsteady || c == "unsteady"
		}
		assert.True(t, !r.OK() || unsteady, "%s: SINAD %.2f dB (%.2f to %.2f) without a word", name, r.Value, r.Low, r.High)
	}
}

// A tone that stops, in noise that goes on, is a tone that stops: nothing is said of the
// noise, wherever in its chunk the tone ends, and what is read is the tone in its noise.
func TestATonesEndIsNoNoise(t *testing.T) {
	for seed := range uint64(runsOf(6, 300)) {
		r := seeded(seed)
		seconds, down := 9+5*r.Float64(), 40+15*r.Float64()
		off := seconds * (0.5 + 0.45*r.Float64())
		const rate = 48000 // so that there are several chunks
		x := make([]float64, int(seconds*rate))
		sigma := 0.25 / math.Sqrt2 * math.Pow(10, -down/20) * math.Sqrt(rate/2/3100.)
		for i := range x {
			x[i] = sigma * r.NormFloat64()
			if at := float64(i) / rate; at < off {
				x[i] += 0.25 * math.Sin(2*math.Pi*1000*at)
			}
		}
		m := measured(t, rate, x, job.FM)
		for _, w := range m.Warnings {
			assert.NotContains(t, sentence.Of(w.Says), "noise", "seed %d, %.2f s, off at %.2f s, %.0f dB", seed, seconds, off, down)
		}
		assert.InDelta(t, 10*math.Log10(1+math.Pow(10, down/10)), m.Get("sinad").Value, 0.6, "seed %d", seed)
	}
}
