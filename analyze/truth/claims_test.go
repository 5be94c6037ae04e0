package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// data is frequency-shift keying at 1200 bits a second of 1200 and 2200 Hz, in bursts
// of half a second between zeros.
func data(seed uint64, seconds float64) signal {
	r := seeded(seed)
	s := silence(16000, seconds)
	phase, hz, last := 0.0, 1200.0, -1
	return s.each(func(i int, _ float64) float64 {
		t := float64(i) / 16000
		if bit := int(t * 1200); bit != last {
			hz, last = []float64{1200, 2200}[r.IntN(2)], bit
		}
		phase += 2 * math.Pi * hz / 16000
		if math.Mod(t, 1) >= 0.5 {
			return 0
		}
		return 0.3 * math.Sin(phase)
	})
}

// keyedSet is a set that is muted, opens on a tone with noise, goes on with its hiss
// when the signal goes, and mutes again.
func keyedSet(seed uint64) signal {
	s := silence(16000, 8)
	hiss := noise(seeded(seed), 16000, len(s.x), between(200, 3600))
	return s.each(func(i int, _ float64) float64 {
		t := math.Mod(float64(i)/16000, 2)
		switch {
		case t < 0.5 || t > 1.65:
			return 1e-4 * hiss[i]
		case t < 1.5:
			return 0.25*math.Sin(2*math.Pi*1000.2*float64(i)/16000) + 0.03*hiss[i]
		}
		return 0.2 * hiss[i]
	})
}

// Neither data nor speech, keyed tones or fading are told to have lost samples or a
// gain that was moved, whole or in parts.
func TestNoClaimWithoutAConfirmedTone(t *testing.T) {
	fading := func(seed uint64) signal {
		i, q := noise(seeded(seed), 1000, 8000, between(0.05, 0.7)), noise(seeded(seed+40), 1000, 8000, between(0.05, 0.7))
		return varied(seed, 6, 0.01, func(t float64) float64 { k := int(1000 * t); return math.Hypot(i[k], q[k]) })
	}
	for seed := range uint64(3) {
		for name, s := range map[string]signal{
			"data": data(seed, 6), "keyed": keyedSet(seed), "fading": fading(seed), "speech": speech(seeded(seed), 16000, 4),
		} {
			m := s.measure(t, job.Reading{})
			assert.False(t, has(m, "dropped-samples"), "%s: %v", name, m.Warnings)
			assert.False(t, has(m, "gain-changed"), "%s: %v", name, m.Warnings)
			assert.Equal(t, name == "data" || name == "speech", has(m, "zero-run"), "%s has zeros in its pauses: %v", name, m.Warnings)
		}
	}
}

// A gain moves tone and noise alike. A signal that gets stronger in the same noise, a
// mute that leaves some tone, and a noise that rises beside the tone, are none.
func TestGainIsToldFromSignal(t *testing.T) {
	for seed := range uint64(2) {
		for name, c := range map[string]struct {
			tone, noise float64 // dB, from 3 s on
			moved       bool
		}{
			"half a dB": {0.5, 0.5, true}, "3 dB": {3, 3, true}, "10 dB down": {-10, -10, true},
			"signal alone": {3, 0, false}, "noise alone": {0, 6, false}, "quieting": {3, -3, false}, "muted": {-60, -60, false}, "half alike": {3, 1.2, false},
		} {
			s := silence(16000, 6).tone(0.2, 1000.03, 0)
			hiss := noise(seeded(seed+20), 16000, len(s.x), between(50, 3900))
			s.each(func(i int, v float64) float64 {
				if i < 3*16000 {
					return v + 0.01*hiss[i]
				}
				return v*gain(c.tone) + 0.01*hiss[i]*gain(c.noise)
			})
			m := s.measure(t, job.Reading{})
			assert.Equal(t, c.moved, has(m, "gain-changed"), "%s: %v", name, m.Warnings)
			assert.False(t, has(m, "dropped-samples"), name)
		}
	}
}

// Runs of zeros between sounds are told whatever their length, also across the pieces
// in which a long recording is measured; those at its ends are none.
func TestZerosBetweenSounds(t *testing.T) {
	for _, c := range []struct {
		rate   int
		length float64
	}{{16000, 0.01}, {16000, 0.5}, {16000, 5}, {48000, 9.8}} {
		s := silence(c.rate, 4+c.length+3)
		hiss := noise(seeded(5), c.rate, len(s.x), between(300, 3400))
		s.each(func(i int, _ float64) float64 {
			at := float64(i) / float64(c.rate)
			if at < 1 || at > 6+c.length || at >= 3 && at < 3+c.length {
				return 0
			}
			return 0.1 * hiss[i]
		})
		w := warned(s.measure(t, job.Reading{}), "zero-run")
		if assert.Len(t, w.AtS, 1, "%v: %s", c, w.Says) {
			assert.InDelta(t, 3, w.AtS[0], 0.001)
			assert.InDelta(t, 1000*c.length, float64(w.Says.Parts[0].(note.MS)), 0.2)
		}
	}
}
