package track

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Ranks with ties and the variance of a rank sum, l r (n+1)/12, by hand: with two
// groups of 6 wholly apart the rank sum of the lower is 21, its mean 39, its
// variance 39 (Wilcoxon 1945).
func TestRankSum(t *testing.T) {
	assert.Equal(t, []float64{1, 3.5, 3.5, 2, 5}, ranks([]float64{-1, 7, 7, 0, 9}))
	k, z := split([]float64{1, 2, 3, 4, 5, 6, 17, 18, 19, 20, 21, 22})
	assert.Equal(t, 6, k)
	assert.InDelta(t, 18/math.Sqrt(39), z, 1e-12)
}

// Chance alone, of any distribution, gives no step, no burst and no wandering.
func TestChanceGivesNoChange(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for kind, draw := range map[string]func() float64{
		"normal":      r.NormFloat64,
		"exponential": r.ExpFloat64,
		"cauchy":      func() float64 { return math.Tan(math.Pi * (r.Float64() - 0.5)) },
		"clicks": func() float64 {
			if r.Float64() < 0.1 {
				return 20 + r.NormFloat64()
			}
			return r.NormFloat64()
		},
	} {
		for range 200 {
			x := make([]float64, 50+r.IntN(500))
			for i := range x {
				x[i] = draw()
			}
			assert.Empty(t, Steps(x, 0), kind)
			assert.Empty(t, Bursts(x, 0), kind)
			assert.False(t, Wanders(x, 0), kind)
		}
	}
}

func TestStepsAreFoundWhereTheyAre(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	x := make([]float64, 400)
	for i := range x {
		x[i] = r.NormFloat64()
		if i >= 150 && i < 230 {
			x[i] += 8
		}
	}
	assert.Equal(t, []int{150, 230}, Steps(x, 2))
	assert.Empty(t, Steps(x, 20))
}
