package truth_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// runs is how often a kind of sound without a tone is tried.
func runs(short int) int {
	if long() {
		return 20 * short
	}
	return short
}

// Hiss of any shape never gets a SINAD.
func TestNoSINADForHiss(t *testing.T) {
	shapes := map[string]func(float64) float64{
		"white":            func(float64) float64 { return 1 },
		"band":             between(300, 3000),
		"discriminator":    func(hz float64) float64 { return hz * hz * between(1, 3400)(hz) },
		"de-emphasised":    func(hz float64) float64 { return 1 / (1 + math.Pow(hz/212, 2)) },
		"pink":             func(hz float64) float64 { return 1 / hz },
		"resonant, 1 kHz":  func(hz float64) float64 { return 1 / (1 + math.Pow((hz-1000)/40, 2)) },
		"resonant, narrow": func(hz float64) float64 { return 1e-4 + 1/(1+math.Pow((hz-1000)/10, 2)) },
	}
	for name, shape := range shapes {
		for i := range runs(25) {
			seconds := []float64{0.2, 0.5, 1, 3}[i%4]
			if name == "resonant, narrow" && seconds < 1 {
				continue // over 0.2 s nothing tells a resonance 20 Hz wide from a tone
			}
			x := times(0.1, noise(seeded(uint64(i)), 8000, int(seconds*8000), shape))
			noSINAD(t, signal{rate: 8000, x: x}.measure(t, job.Reading{}), fmt.Sprintf("%s, %g s, seed %d", name, seconds, i))
		}
	}
}

// speech imitates a voice: voiced stretches with a wandering pitch through
// wandering formants, hisses between, pauses.
func speech(r *rand.Rand, rate int, seconds float64) signal {
	s := silence(rate, seconds)
	phase, pitch := 0.0, 90+90*r.Float64()
	var formant [3]float64
	left, voiced, loud := 0, false, 0.0
	for i := range s.x {
		if left == 0 {
			left = int(float64(rate) * (0.05 + 0.25*r.Float64()))
			voiced, loud = r.Float64() < 0.65, 0.02+0.2*r.Float64()
			if r.Float64() < 0.2 {
				loud = 0
			}
			formant = [3]float64{300 + 500*r.Float64(), 900 + 1300*r.Float64(), 2300 + 700*r.Float64()}
		}
		left--
		pitch *= 1 + 0.0004*r.NormFloat64()
		pitch = math.Max(80, math.Min(260, pitch))
		phase += pitch / float64(rate)
		if !voiced {
			s.x[i] = loud * 0.3 * r.NormFloat64()
			continue
		}
		for h := 1; float64(h)*pitch < 3400; h++ {
			g := 0.0
			for k, f := range formant {
				g += math.Pow(0.5, float64(k)) / (1 + math.Pow((float64(h)*pitch-f)/80, 2))
			}
			s.x[i] += loud * g * math.Sin(2*math.Pi*float64(h)*phase)
		}
	}
	return s
}

func TestNoSINADForSpeech(t *testing.T) {
	for i := range runs(12) {
		s := speech(seeded(uint64(100+i)), 8000, 2+float64(i%3))
		s.add(times(0.003, noise(seeded(uint64(i)), 8000, len(s.x), between(100, 3900))))
		m := s.measure(t, job.Reading{})
		noSINAD(t, m, fmt.Sprintf("speech %d", i))
		assert.Zero(t, m.OtherTone, "speech %d", i)
	}
}

// A carrier without modulation: quiet noise, hum, perhaps a sub-audible tone.
func TestNoSINADForAnUnmodulatedCarrier(t *testing.T) {
	for i := range runs(20) {
		s := silence(16000, 2).tone(0.01, 100.02, 0).tone(0.004, 50.01, 1)
		s.add(times(0.003, noise(seeded(uint64(i)), 16000, len(s.x), between(50, 3400))))
		if i%2 == 0 {
			s.tone(0.05, 88.5, 0)
		}
		m := s.measure(t, job.Reading{})
		noSINAD(t, m, fmt.Sprint("carrier ", i))
		assert.Zero(t, m.OtherTone)
		assert.True(t, m.Get(analyze.NoiseLevel).OK() && m.Get(analyze.HumLevel).OK())
	}
}

// A buzz of the mains with lines up to 3 kHz has one at 1000 Hz (20 x 50 Hz),
// or near it (17 x 60 Hz): it is no tone, and no tone elsewhere.
func TestNoSINADForBuzz(t *testing.T) {
	for _, mains := range []float64{50, 50.02, 60, 100, 100.03, 120} {
		for name, size := range map[string]func(order float64) float64{
			"pulses":    func(float64) float64 { return 1 },
			"rectifier": func(o float64) float64 { return 1 / o },
		} {
			s := silence(8000, 1.7)
			for o := 1.0; o*mains < 3000; o++ {
				s.tone(0.02*size(o), o*mains, o)
			}
			s.add(times(0.0005, noise(seeded(12), 8000, len(s.x), between(50, 3900))))
			m := s.measure(t, job.Reading{})
			noSINAD(t, m, fmt.Sprintf("%s of %g Hz", name, mains))
			assert.Zero(t, m.OtherTone, "%s of %g Hz", name, mains)
		}
	}
}

// A clear tone elsewhere is named, not measured; asked for, it is measured.
func TestTonesElsewhereAreNamed(t *testing.T) {
	for _, hz := range []float64{400, 401.3, 600.7, 1500, 2203, 2999.5} {
		for i := range 4 {
			s := silence(8000, 1.5).tone(0.3, hz, 0)
			s.add(times(0.05, noise(seeded(uint64(i)), 8000, len(s.x), between(300, 3400))))
			m := s.measure(t, job.Reading{})
			noSINAD(t, m, fmt.Sprintf("%g Hz", hz))
			assert.InDelta(t, hz, m.OtherTone, 0.1)
			m = s.measure(t, job.Reading{ToneHz: hz})
			assert.Zero(t, m.OtherTone)
			assert.InDelta(t, db((0.045+0.0025)/0.0025), value(t, m, analyze.SINAD), 0.2)
		}
	}
}

// A tone away from where it was expected, yet near, is measured and said to be off.
func TestToneOffFrequency(t *testing.T) {
	for hz, off := range map[float64]bool{990: false, 1000: false, 1007.3: false, 1015: false, 1030: true, 970: true, 1100: true} {
		m := silence(8000, 1).tone(0.3, hz, 0).measure(t, job.Reading{})
		assert.InDelta(t, hz, value(t, m, analyze.ToneFrequency), 1e-3)
		assert.Equal(t, off, len(codes(m)) == 1 && codes(m)[0] == "tone-off-frequency", "%g Hz: %v", hz, codes(m))
	}
}
