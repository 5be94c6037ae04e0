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

// keyedSound is a muted set that opens on a tone with noise, goes on with
// louder hiss when the signal goes, and mutes: every edge is a sample that is
// known. noise and hiss are RMS, before a one-pole low-pass at 3 kHz.
type keyedSound struct {
	rate                 int
	seconds              float64
	mute, noise, hiss    float64
	hum                  float64
	opened, gone, closed []float64
	hz                   float64
}

func (k keyedSound) samples(seed uint64) []float64 {
	rng := rand.New(rand.NewPCG(seed, 1))
	x := make([]float64, int(k.seconds*float64(k.rate)))
	low, a := 0.0, 1-math.Exp(-2*math.Pi*3000/float64(k.rate))
	for i := range x {
		t := float64(i) / float64(k.rate)
		low += a * (rng.NormFloat64() - low)
		x[i] = k.mute*rng.NormFloat64() + k.hum*math.Sin(2*math.Pi*100*t)
		for n := range k.opened {
			switch {
			case t < k.opened[n] || t >= k.closed[n]:
			case t < k.gone[n]:
				x[i] += 0.3*math.Sin(2*math.Pi*k.hz*t+float64(n)) + k.noise*low
			default:
				x[i] += k.hiss * low
			}
		}
	}
	return x
}

func squelchOf(t *testing.T, rate int, x []float64, settings map[string]string, more ...capture.Recording) analyze.Result {
	t.Helper()
	s := job.Setup{Kind: job.KindSquelch, Stanza: job.Stanza{Takes: []job.Take{{File: "keyed.wav"}}, Settings: settings}}
	r, err := Squelch(s, append([]capture.Recording{capture.FromSamples("keyed.wav", rate, x)}, more...))
	require.NoError(t, err)
	return r
}

// Edges and tails of sounds whose every sample is known, from a clean signal
// to one at the threshold, with hum that stays and with tails from none to 0.2 s.
func TestSquelchEdgesAreFound(t *testing.T) {
	for i, k := range []keyedSound{
		{rate: 48000, mute: 1e-5, noise: 0.01, hiss: 0.5, hz: 1000},
		{rate: 48000, mute: 1e-3, noise: 0.2, hiss: 0.5, hz: 1000, hum: 0.05},
		{rate: 16000, mute: 0, noise: 0.1, hiss: 0.3, hz: 1007.3},
		{rate: 44100, mute: 1e-4, noise: 0.3, hiss: 0.35, hz: 400},
	} {
		k.seconds, k.opened, k.gone, k.closed = 4.2, []float64{0.5003, 1.8, 3.1}, []float64{1.3201, 2.6, 3.7}, []float64{1.3421, 2.8, 3.7}
		r := squelchOf(t, k.rate, k.samples(uint64(i)), nil)
		require.Empty(t, r.Why)
		require.Len(t, r.Events, 3, "%d", i)
		for n, e := range r.Events {
			assert.InDelta(t, k.opened[n], e.AtS, 0.005, "%d, opening %d", i, n)
			assert.InDelta(t, k.closed[n], e.UntilS, 0.005, "%d, closing %d", i, n)
			tail, want := e.Readings[1], 1000*(k.closed[n]-k.gone[n])
			require.True(t, tail.OK(), "%d: %s", i, tail.Why)
			assert.InDelta(t, want, tail.Value, 6, "%d, tail %d", i, n)
		}
		assert.Zero(t, r.Get(job.FigureChatter).Value)
		assert.InDelta(t, 200, r.Get(job.QuantityClosing).Value, 6)
	}
}

func TestSquelchChatter(t *testing.T) {
	k := keyedSound{rate: 16000, seconds: 3, mute: 1e-4, noise: 0.1, hiss: 0.3, hz: 1000,
		opened: []float64{0.5, 1.62, 1.75}, gone: []float64{1.5, 1.62, 1.75}, closed: []float64{1.6, 1.66, 1.8}}
	r := squelchOf(t, k.rate, k.samples(9), nil)
	require.Len(t, r.Events, 3)
	assert.Equal(t, 2.0, r.Get(job.FigureChatter).Value)
}

func TestSquelchAttackFromKeyTimes(t *testing.T) {
	k := keyedSound{rate: 16000, seconds: 3, mute: 1e-4, noise: 0.1, hiss: 0.3, hz: 1000, opened: []float64{1.06}, gone: []float64{2}, closed: []float64{2.1}}
	r := squelchOf(t, k.rate, k.samples(3), map[string]string{job.SettingKeyed: "1.0-2.0"})
	assert.InDelta(t, 60, r.Get(job.QuantityAttack).Value, 3)

	key := keyedSound{rate: 16000, seconds: 3, mute: 1e-4, noise: 0.01, hiss: 0, hz: 1000, opened: []float64{1}, gone: []float64{2}, closed: []float64{2}}
	second := capture.FromSamples("keyed.wav", key.rate, key.samples(4))
	r = squelchOf(t, k.rate, k.samples(3), map[string]string{job.SettingKeyChannel: "2"}, second)
	assert.InDelta(t, 60, r.Get(job.QuantityAttack).Value, 3)
}

// Sounds in which nothing was keyed claim no opening.
func TestSquelchClaimsNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	noise, speech := make([]float64, 32000), make([]float64, 64000)
	for i := range noise {
		noise[i] = 0.1 * rng.NormFloat64()
	}
	assert.Contains(t, squelchOf(t, 16000, noise, nil).Why, "never came or went")
	assert.Contains(t, squelchOf(t, 16000, make([]float64, 16000), nil).Why, "never came or went")
	// Syllables: a buzz whose loudness and pitch wander, with pauses.
	phase := 0.0
	for i := range speech {
		s := float64(i) / 16000
		phase += 2 * math.Pi * (120 + 30*math.Sin(2*math.Pi*1.7*s)) / 16000
		loud := math.Pow(math.Max(0, math.Sin(2*math.Pi*2.1*s)), 2) * (0.5 + 0.5*math.Sin(2*math.Pi*0.37*s))
		for h := 1; h < 25; h++ {
			speech[i] += 0.02 * loud * math.Sin(float64(h)*phase)
		}
		speech[i] += 1e-4 * rng.NormFloat64()
	}
	assert.Contains(t, squelchOf(t, 16000, speech, nil).Why, "no keyed signal")
}

// The ends of the recording are no edges.
func TestSquelchThatIsCutOff(t *testing.T) {
	k := keyedSound{rate: 16000, seconds: 3, mute: 1e-4, noise: 0.1, hiss: 0.3, hz: 1000, opened: []float64{-1, 2}, gone: []float64{1, 9}, closed: []float64{1.1, 9}}
	r := squelchOf(t, k.rate, k.samples(5), nil)
	require.Len(t, r.Events, 2)
	assert.True(t, r.Events[0].NoStart)
	assert.InDelta(t, 1.1, r.Events[0].UntilS, 0.005)
	assert.InDelta(t, 100, r.Events[0].Readings[1].Value, 6)
	assert.True(t, r.Events[1].NoEnd)
	assert.False(t, r.Events[1].Readings[1].OK())
}
