package parts

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
	"hisspoint/capture/job"
)

// toneRun is tones one after the other, amplitudes in dBFS, in white noise.
func toneRun(seed uint64, rate int, noiseDBFS float64, tones ...[3]float64) capture.Recording {
	r := rand.New(rand.NewPCG(seed, 3))
	var x []float64
	phase := 0.0
	for _, t := range tones { // Hz, dBFS, s
		a, sigma := math.Pow(10, t[1]/20), math.Pow(10, noiseDBFS/20)/math.Sqrt2
		for range int(t[2] * float64(rate)) {
			phase += 2 * math.Pi * t[0] / float64(rate)
			x = append(x, a*math.Sin(phase)+sigma*r.NormFloat64())
		}
	}
	return capture.FromSamples("tones.wav", rate, x)
}

func TestSmallestFirst(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 4))
	for range 200 {
		v := make([]float64, 1+r.IntN(60))
		for i := range v {
			v[i] = float64(r.IntN(20))
		}
		n := r.IntN(len(v) + 1)
		sorted := slices.Sorted(slices.Values(v))
		smallestFirst(v, n)
		assert.ElementsMatch(t, sorted[:n], v[:n])
	}
}

func TestLevelSteps(t *testing.T) {
	r := toneRun(1, 8000, -60, [3]float64{1000, -20, 2}, [3]float64{1000, -19.5, 1.5}, [3]float64{1000, -14, 2}, [3]float64{1000, -30, 1.7})
	for _, n := range []int{4, 0} {
		parts, err := LevelSteps(r, n, job.Reading{})
		require.NoError(t, err)
		require.Len(t, parts, 4)
		at := 0.0
		for i, p := range parts {
			assert.InDelta(t, []float64{-20, -19.5, -14, -30}[i], p.Tone, 0.05)
			assert.GreaterOrEqual(t, p.From, at-1e-9)
			at += []float64{2, 1.5, 2, 1.7}[i]
			assert.LessOrEqual(t, p.To, at+1e-9)
			assert.Greater(t, p.To-p.From, 1.1)
		}
	}
	_, err := LevelSteps(r, 3, job.Reading{})
	assert.True(t, IsMisfit(err))
	assert.ErrorContains(t, err, "3 levels are listed and 4 were found (0.0 to ")
}
