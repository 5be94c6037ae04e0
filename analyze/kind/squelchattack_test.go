package kind

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// gated is a set's audio whose every moment is stated: the signal comes and goes, the
// audio opens with a time constant, the tone leaks through the mute before, hiss comes
// when the signal goes, and the mute ends it.
type gated struct {
	rate                      int
	comes, opens, goes, mutes float64 // s
	rises                     float64 // s, time constant of the opening
	leak, noise, hiss         float64 // of the tone's amplitude; RMS of noise and hiss
	quiet                     float64 // s before goes for which the carrier has no tone
	ring                      float64 // s, time constant of a de-emphasis behind the mute
	seconds                   float64
}

func (g gated) samples(seed uint64) []float64 {
	rng := rand.New(rand.NewPCG(seed, 2))
	x := make([]float64, int(g.seconds*float64(g.rate)))
	low, out, a := 0.0, 0.0, 1-math.Exp(-2*math.Pi*3000/float64(g.rate))
	for i := range x {
		t := float64(i) / float64(g.rate)
		low += a * (rng.NormFloat64() - low)
		there := t >= g.comes && t < g.goes-g.quiet
		tone := 0.3 * math.Sin(2*math.Pi*1000*t)
		v := 0.0
		switch {
		case t >= g.opens && t < g.goes:
			open := 1.0
			if g.rises > 0 {
				open -= math.Exp(-(t - g.opens) / g.rises)
			}
			v = g.noise * low * open
			if there {
				v += tone * math.Max(g.leak, open)
			}
		case t >= g.goes && t < g.mutes:
			v = g.hiss * low
		case there:
			v = g.leak * tone
		}
		if g.ring > 0 {
			out += (v - out) * (1 - math.Exp(-1/(g.ring*float64(g.rate))))
			v = 5 * out // 1 kHz comes out as loud as it went in, within a quarter
		}
		x[i] = v + 2e-5*rng.NormFloat64()
	}
	return x
}

func (g gated) squelch(t *testing.T, seed uint64, settings map[string]string) analyze.Result {
	t.Helper()
	return squelchOf(t, g.rate, g.samples(seed), settings)
}

// 90 % of the final level are reached at once by a switch, and after ln 10 = 2.303 time
// constants by an exponential; a mute that lets a part of the tone through is no audio.
func TestSquelchAttackIsToNinetyPercent(t *testing.T) {
	for name, c := range map[string]struct {
		rises, leak, noise float64
	}{
		"switch":                    {0, 0, 0.01},
		"leaks at -30 dB":           {0, 0.0316, 0.01},
		"leaks at -14 dB":           {0, 0.2, 0.01},
		"leaks, 12 dB SINAD":        {0, 0.0316, 0.05},
		"exponential":               {0.02, 0, 0.01},
		"slow":                      {0.08, 0, 0.01},
		"exponential, 12 dB":        {0.02, 0, 0.05},
		"leaks and is exponential":  {0.02, 0.0316, 0.01},
		"leaks, exponential, 12 dB": {0.02, 0.0316, 0.05},
	} {
		g := gated{rate: 16000, comes: 0.6, opens: 0.66, goes: 1.9, mutes: 2.05, rises: c.rises, leak: c.leak, noise: c.noise, hiss: 0.2, seconds: 2.6}
		r := g.squelch(t, 4, map[string]string{job.SettingKeyed: "0.6-1.9"})
		require.Len(t, r.Events, 1, "%s: %s", name, r.Why)
		attack, truth := r.Get(job.QuantityAttack), 60+1000*c.rises*math.Ln10
		require.True(t, attack.OK(), "%s: %s", name, attack.Why)
		assert.InDelta(t, truth, attack.Value, 3, name)
		assert.LessOrEqual(t, attack.Low, truth, name)
		assert.GreaterOrEqual(t, attack.High, truth, name)
		if c.rises == 0 {
			assert.InDelta(t, 0.66, r.Events[0].AtS, 0.003, name)
		}
		assert.InDelta(t, 150, r.Get(job.QuantityClosing).Value, 5, name)
		assert.Empty(t, r.Warnings, name)
	}
}

// A short opening is read by the tone in its first third.
func TestShortOpeningsAreRead(t *testing.T) {
	for _, rate := range []int{16000, 48000} {
		for _, c := range []struct{ tone, tail float64 }{{0.03, 0.05}, {0.05, 0.1}, {0.08, 0.15}, {0.1, 0.2}} {
			g := gated{rate: rate, comes: 0.7, opens: 0.7, goes: 0.7 + c.tone, mutes: 0.7 + c.tone + c.tail, noise: 0.03, hiss: 0.2, seconds: 1.5}
			r := g.squelch(t, 5, nil)
			require.Len(t, r.Events, 1, "%v: %s", c, r.Why)
			tail := r.Get(job.QuantityClosing)
			require.True(t, tail.OK(), "%v: %s", c, tail.Why)
			assert.InDelta(t, 1000*c.tail, tail.Value, 5, "%v", c)
			assert.Empty(t, r.Warnings)
		}
	}
}

// Bursts of data and of noise that grows end like a tail, and are none.
func TestNoTailWithoutATone(t *testing.T) {
	const rate = 16000
	rng := rand.New(rand.NewPCG(6, 3))
	burst := func(sound func(i int) float64) []float64 {
		x := make([]float64, 2*rate)
		for i := range x {
			x[i] = 2e-5 * rng.NormFloat64()
			if i >= rate/2 && i < rate/2+rate/4 {
				x[i] += sound(i)
			}
		}
		return x
	}
	phase, bit := 0.0, 1200.0
	for name, x := range map[string][]float64{
		"data": burst(func(i int) float64 {
			if i%(rate/1200) == 0 {
				bit = []float64{1200, 2200}[rng.IntN(2)]
			}
			phase += 2 * math.Pi * bit / rate
			return 0.3 * math.Sin(phase)
		}),
		"noise that grows": burst(func(i int) float64 {
			if i < rate/2+rate/8 {
				return 0.02 * rng.NormFloat64()
			}
			return 0.2 * rng.NormFloat64()
		}),
		"noise": burst(func(int) float64 { return 0.1 * rng.NormFloat64() }),
	} {
		r := squelchOf(t, rate, x, nil)
		assert.False(t, r.Get(job.QuantityClosing).OK(), name)
		if len(r.Events) == 0 {
			assert.NotEmpty(t, r.Why, name)
			continue
		}
		require.Len(t, r.Warnings, 1, name)
		assert.Equal(t, capture.OpeningUnread, r.Warnings[0].Code, name)
		assert.InDelta(t, 0.5, r.Warnings[0].AtS[0], 0.005, name)
	}
}

// The signal goes when the hiss comes, not when its tone is switched off.
func TestToneOffBeforeTheCarrierIsNoTail(t *testing.T) {
	g := gated{rate: 16000, comes: 0.5, opens: 0.5, goes: 2, quiet: 0.5, mutes: 2.06, noise: 0.003, hiss: 0.2, seconds: 2.6}
	r := g.squelch(t, 7, nil)
	assert.InDelta(t, 60, r.Get(job.QuantityClosing).Value, 5)
}

// A mute in front of a de-emphasis of 750 us (300 Hz to 3 kHz, TIA-603, from memory)
// rings on, so its moment is known to 3 ms only, and it is said; one behind it does not.
func TestMuteBeforeDeEmphasis(t *testing.T) {
	held, told := 0, 0
	for seed := range uint64(12) {
		g := gated{rate: 48000, comes: 0.5, opens: 0.5, goes: 1.2, mutes: 1.35, noise: 0.02, hiss: 0.6, seconds: 1.8}
		after := g.squelch(t, seed, nil)
		g.ring = 750e-6
		before := g.squelch(t, seed, nil)
		assert.NotContains(t, after.Says, softSays)
		tail := before.Get(job.QuantityClosing)
		require.True(t, tail.OK())
		if tail.Low <= 150 && tail.High >= 150 {
			held++
		}
		for _, say := range before.Says {
			if say.Sentence == softSays.Sentence {
				told++
				assert.GreaterOrEqual(t, tail.Value-tail.Low, 3.0)
			}
		}
	}
	assert.GreaterOrEqual(t, held, 11)
	assert.GreaterOrEqual(t, told, 6, "of a mute at which the audio was near zero there is nothing to ring")
}

// The attack and the tail of a stereo recording, keyed on its second channel.
func TestAttackFromAKeyChannel(t *testing.T) {
	g := gated{rate: 16000, comes: 0.6, opens: 0.68, goes: 1.9, mutes: 2, leak: 0.0316, noise: 0.02, hiss: 0.2, seconds: 2.6}
	key := gated{rate: 16000, comes: 0.6, opens: 0.6, goes: 1.9, mutes: 1.9, seconds: 2.6}
	r := squelchOf(t, g.rate, g.samples(8), map[string]string{job.SettingKeyChannel: "2"}, capture.FromSamples("keyed.wav", key.rate, key.samples(9)))
	assert.InDelta(t, 80, r.Get(job.QuantityAttack).Value, 3)
}
