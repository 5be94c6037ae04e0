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
	cut := Optimal(x, 5, Options{Min: 10, Gap: 4, Floor: 0.05})
	require.Len(t, cut, 5)
	for i, s := range cut[3] {
		assert.InDelta(t, 40*i, s.From, 3)
		assert.InDelta(t, 40*(i+1), s.To, 3)
	}
	for i := range 3 {
		errors, d := Apart(x, cut[3][i], cut[3][i+1], 1)
		assert.Greater(t, errors, 6.0)
		assert.InDelta(t, []float64{1, 2, 1}[i], d, 0.2)
	}
	// The fifth stretch is none: its neighbours are alike.
	least := math.Inf(1)
	for i := range 4 {
		errors, _ := Apart(x, cut[4][i], cut[4][i+1], 1)
		least = math.Min(least, errors)
	}
	assert.Less(t, least, 5.0)
}

// Every cut is compared with the best of all that there are.
func TestOptimalAgainstTryingAll(t *testing.T) {
	for seed := range uint64(20) {
		x := stairs(seed, 6, 1, 0, 1.5, -1)
		o := Options{Min: 3, Floor: 0.1}
		s := sumsOf(x, o.Floor)
		least := math.Inf(1)
		for a := 3; a <= len(x)-6; a++ {
			for b := a + 3; b <= len(x)-3; b++ {
				least = math.Min(least, s.cost(0, a)+s.cost(a, b)+s.cost(b, len(x)))
			}
		}
		got := Optimal(x, 3, o)[2]
		assert.InDelta(t, least, s.cost(0, got[0].To)+s.cost(got[1].From, got[1].To)+s.cost(got[2].From, len(x)), 1e-9)
	}
}

func TestWhatDoesNotFitIn(t *testing.T) {
	assert.Equal(t, [][]Segment{nil, nil}, Optimal(nil, 2, Options{Min: 3}))
	x := stairs(1, 5, 1, 0)
	cut := Optimal(x, 2, Options{Min: 3})
	assert.Equal(t, []Segment{{0, 5}}, cut[0])
	assert.Nil(t, cut[1])
}

// A burst between two stretches is left out of both.
func TestTheMomentOfTurningIsLeftOut(t *testing.T) {
	x := stairs(2, 40, 0.3, 0, 2)
	for i := 40; i < 44; i++ {
		x[i][0] += 25
	}
	cut := Optimal(x, 2, Options{Min: 10, Gap: 6, Floor: 0.05})[1]
	assert.InDelta(t, 40, cut[0].To, 2)
	assert.InDelta(t, 44, cut[1].From, 2)
	assert.LessOrEqual(t, cut[0].To, 40)
	assert.GreaterOrEqual(t, cut[1].From, 44)
}

// A restless stretch does not eat of its quiet neighbour, and a border that is
// off goes back to where the blocks change.
func TestBordersAreSettled(t *testing.T) {
	x := append(stairs(3, 40, 0.8, 0), stairs(4, 40, 0.1, 2)...)
	got := Settle(x, []Segment{{0, 55}, {57, 80}}, 30, 4)
	assert.Equal(t, 0, got[0].From)
	assert.InDelta(t, 39, got[0].To, 2)
	assert.InDelta(t, 41, got[1].From, 2)
	assert.Equal(t, 80, got[1].To)
}
