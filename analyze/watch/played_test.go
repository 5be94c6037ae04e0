package watch

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/signal"
)

// played is what a set makes of a signal that comes 0.7 s into a recording: a first
// order roll-off at 1 kHz, and noise.
func played(s signal.Signal, noise float64, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 2))
	lead := int(0.7 * float64(s.Rate))
	x := make([]float64, lead+len(s.Samples)+s.Rate)
	k, y := 1-math.Exp(-2*math.Pi*1000/float64(s.Rate)), 0.0
	for i := range x {
		in := 0.0
		if i >= lead && i-lead < len(s.Samples) {
			in = s.Samples[i-lead]
		}
		y += k * (in - y)
		x[i] = y + noise*r.NormFloat64()
	}
	return x
}

func signalsPlayed() map[string]signal.Signal {
	const rate = 22050
	return map[string]signal.Signal{
		"stepped": signal.Stepped(rate, []float64{300, 500, 1000, 3000}, -12, 1.5),
		"sweep":   signal.SweepSignal(rate, signal.Sweep{LowHz: 60, HighHz: 8000, Seconds: 4.5}, -12, 0.5),
		"noise":   signal.SpeechNoise(rate, -12, 4.5),
	}
}

// The signal is found where it is, whole; 30 ms that were lost are found too, in the
// piece where they were or the next. What is lost is cut out of the recording.
func TestPlayedSignalsAreFoundAndLossesSeen(t *testing.T) {
	for name, s := range signalsPlayed() {
		x := played(s, 0.01, 1)
		check := func(x []float64) analyze.PlayedCheck {
			p, err := Played(capture.FromSamples(name, s.Rate, x), s)
			require.NoError(t, err)
			return p
		}
		p := check(x)
		assert.True(t, p.Found(), name)
		assert.InDelta(t, 0.7, p.FromS, 0.01, name)
		assert.InDelta(t, 0.7+s.Seconds(), p.ToS, 0.01, name)
		assert.Empty(t, p.LostAtS, name)
		sum, n := 0.0, 0
		for i := int(0.7 * float64(s.Rate)); i < int((0.7+s.Seconds())*float64(s.Rate)); i++ {
			sum, n = sum+x[i]*x[i], n+1
		}
		assert.InDelta(t, 10*math.Log10(2*sum/float64(n)), p.LevelDBFS, 0.05, name)

		at := int(3.0 * float64(s.Rate))
		lost := append(append([]float64(nil), x[:at]...), x[at+s.Rate*3/100:]...)
		p = check(lost)
		assert.True(t, p.Found(), name)
		if assert.Len(t, p.LostAtS, 1, name) {
			assert.InDelta(t, 3, p.LostAtS[0], 1.6, name)
		}
	}
}

// Noise alone, or another signal, is not what was played.
func TestWhatWasNotPlayedIsNotFound(t *testing.T) {
	all := signalsPlayed()
	for name, s := range all {
		for other, x := range map[string][]float64{
			"noise":   played(signal.Signal{Rate: s.Rate, Samples: make([]float64, len(s.Samples))}, 0.05, 7),
			"stepped": played(all["stepped"], 0.01, 3), "sweep": played(all["sweep"], 0.01, 3), "speech": played(signal.SpeechNoise(s.Rate, -12, 7), 0.01, 3),
		} {
			if other == name || name == "noise" && other == "speech" {
				continue
			}
			p, err := Played(capture.FromSamples(other, s.Rate, x), s)
			require.NoError(t, err)
			assert.False(t, p.Found(), "%s in %s: %+v", name, other, p)
		}
	}
}

// One tone at several levels is found as a whole, and no samples are called lost in it,
// through a limiter that holds the louder ones, too.
func TestPlayedLevelsAreFoundWhole(t *testing.T) {
	for _, s := range []signal.Signal{signal.Jumps(22050, 1000, []float64{-50, -40, -30, -20}, 1.5), signal.Attack(22050, 1000, -20, 1, 3)} {
		x := played(s, 0.0005, 1)
		for i, v := range x {
			x[i] = math.Max(-0.03, math.Min(0.03, v))
		}
		p, err := Played(capture.FromSamples("levels", s.Rate, x), s)
		require.NoError(t, err)
		assert.True(t, p.Found(), s.Name)
		assert.Empty(t, p.LostAtS, s.Name)
		assert.InDelta(t, 0.7, p.FromS, 0.1, s.Name)
		assert.InDelta(t, 0.7+s.Seconds(), p.ToS, 0.1, s.Name)
	}
}
