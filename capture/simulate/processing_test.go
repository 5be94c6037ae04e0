package simulate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(x)))
}

func hiss(n int, level float64) []float64 {
	r := random(3, streamCard)
	out := make([]float64, n)
	for i := range out {
		out[i] = level * r.NormFloat64()
	}
	return out
}

// With nothing to take away the frames must add up to what went in.
func TestSubtractNoiseIsTransparentWithoutLearning(t *testing.T) {
	x := hiss(16000, 0.1)
	y := SubtractNoise(x, 16000, 1e9, 0)
	for i := range x {
		assert.InDelta(t, x[i], y[i], 1e-9)
	}
}

func TestProcessingDoesWhatItSays(t *testing.T) {
	const rate = 16000
	x := hiss(4*rate, 0.1)
	y := SubtractNoise(x, rate, 0.5, -15)
	assert.Less(t, rms(y[3*rate:]), 0.5*rms(y[:rate/10]), "hiss sinks while it is learned")
	y = AutoGain(x, rate, 0.5, 0.02)
	assert.InDelta(t, 0.02, rms(y[3*rate:]), 0.002)
	assert.InDelta(t, 0.1, rms(y[:rate/10]), 0.005)
	for i := rate; i < 2*rate; i++ {
		x[i] *= 0.01
	}
	y = Gate(x, rate, 0.02, -30)
	assert.InDelta(t, 1, rms(y[rate/2:rate])/rms(x[rate/2:rate]), 1e-3)
	assert.InDelta(t, math.Pow(10, -1.5), rms(y[rate*3/2:2*rate])/rms(x[rate*3/2:2*rate]), 1e-3)
}

// A tone is predicted and taken away with the time constant that was asked for;
// hiss cannot be predicted and stays.
func TestCancelEcho(t *testing.T) {
	const rate, tau = 16000, 0.2
	x := hiss(2*rate, 0.1)
	y := CancelEcho(x, rate, 0.06, tau)
	assert.InDelta(t, 1, rms(y[rate:])/rms(x[rate:]), 0.02)
	for i := range x {
		x[i] = 0.3 * math.Sin(2*math.Pi*1000*float64(i)/rate)
	}
	y = CancelEcho(x, rate, 0.06, tau)
	start := int(0.068 * rate)
	assert.InDelta(t, 1, rms(y[:start-16])/rms(x[:start-16]), 1e-9, "nothing is played yet")
	at := func(s float64) int { return start + int(s*rate) }
	assert.InDelta(t, math.Exp(-0.2/tau), rms(y[at(0.2):at(0.21)])/rms(x[:160]), 0.05)
	assert.Less(t, rms(y[rate:]), 0.02*rms(x[rate:]))
}
