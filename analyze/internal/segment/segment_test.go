package segment

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// stairs are stretches of normal scatter around the given means.
func stairs(seed uint64, length int, scatter float64, means ...float64) [][]float64 {
	r := rand.New(rand.NewPCG(seed, 1))
	var x [][]float64
	for _, m := range means {
		for range length {
			x = append(x, []float64{m + scatter*r.NormFloat64(), scatter * r.NormFloat64()})
		}
	}
	return x
}

func TestStairsAreFound(t *testing.T) {
	x := stairs(1, 40, 0.3, 0, 1, 3, 2)
	cut, ok := Find(x, Options{Most: 10, Min: 10})
	require.True(t, ok)
	require.Len(t, cut.Stretches, 4)
	for i, b := range cut.Borders {
		assert.InDelta(t, 40*(i+1), b.At, 3)
		assert.LessOrEqual(t, b.Low, 40*(i+1))
		assert.GreaterOrEqual(t, b.High, 40*(i+1))
		assert.InDelta(t, []float64{1, 2, -1}[i], b.Change[0], 0.25)
		assert.Equal(t, b.Low, cut.Stretches[i].To)
		assert.Equal(t, b.High, cut.Stretches[i+1].From)
	}
	known, ok := Find(x, Options{Count: 4, Min: 10})
	require.True(t, ok)
	assert.Equal(t, cut, known)
	five, ok := Find(x, Options{Count: 5, Min: 10})
	require.True(t, ok)
	assert.Less(t, five.Weakest(), 5.0, "the fifth stretch is none: its neighbours are alike")
}

// Every cut is compared with the best of all that there are.
func TestSearchAgainstTryingAll(t *testing.T) {
	for seed := range uint64(20) {
		x := stairs(seed, 6, 1, 0, 1.5, -1)
		o := Options{Count: 3, Min: 3}
		w := weigh(x, o)
		least := math.Inf(1)
		for a := 3; a <= len(x)-6; a++ {
			for b := a + 3; b <= len(x)-3; b++ {
				least = math.Min(least, w.cost(0, a)+w.cost(a, b)+w.cost(b, len(x)))
			}
		}
		got := w.search(o)[2]
		assert.InDelta(t, least, w.cost(0, got[0].To)+w.cost(got[1].From, got[1].To)+w.cost(got[2].From, len(x)), 1e-9)
	}
}

func TestWhatDoesNotFitIn(t *testing.T) {
	_, ok := Find(nil, Options{Most: 2, Min: 3})
	assert.False(t, ok)
	x := stairs(1, 5, 1, 0)
	cut, ok := Find(x, Options{Most: 2, Min: 3})
	assert.True(t, ok)
	assert.Equal(t, []Stretch{{0, 5}}, cut.Stretches)
	_, ok = Find(x, Options{Count: 2, Min: 3})
	assert.False(t, ok)
}
