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

// Chance alone makes no border, even where some blocks stray and neighbours
// depend on each other; two features that say a little each make one together.
func TestNothingIsFoundWhereNothingIs(t *testing.T) {
	for seed := range uint64(30) {
		x := stairs(seed, 200, 1, 0)
		r := rand.New(rand.NewPCG(seed, 2))
		for i := 1; i < len(x); i++ {
			x[i][0] = 0.5*x[i-1][0] + x[i][0]
			if r.IntN(20) == 0 {
				x[i][1] += 30 * r.Float64()
			}
		}
		cut, ok := Find(x, Options{Most: 10, Min: 20})
		require.True(t, ok)
		assert.Len(t, cut.Stretches, 1, "seed %d", seed)
	}
}

// The range of a border holds it as often as it says: its ends may each be wrong in
// doubt of the cases, where the sides differ so little that the border is hardly sure
// (of 1.2 scatters most are not, and do not count) and where they differ clearly.
func TestTheRangeHoldsTheBorder(t *testing.T) {
	for _, step := range []float64{1.2, 1.5, 4} {
		early, late, open, sure, cases := 0, 0, 0, 0, 250
		for seed := range uint64(cases) {
			x := stairs(seed, 50, 1, 0, step)
			cut, ok := Find(x, Options{Count: 2, Min: 20})
			require.True(t, ok)
			if !(Options{}).Worth(cut) {
				continue
			}
			b := cut.Borders[0]
			sure++
			open += b.High - b.Low
			if b.Low > 50 {
				late++
			}
			if b.High < 50 {
				early++
			}
		}
		// Binomial with p = doubt: four standard deviations, and what the scatter costs that is not known.
		most := float64(sure)*doubt*1.5 + 4*math.Sqrt(float64(sure)*doubt)
		assert.Greater(t, sure, 40)
		assert.LessOrEqual(t, float64(early), most)
		assert.LessOrEqual(t, float64(late), most)
		t.Logf("steps of %g: %d of %d ranges begin too late, %d end too early, %.1f blocks long", step, late, sure, early, float64(open)/float64(sure))
	}
}

// A burst between two stretches belongs to neither, and one within a stretch
// divides nothing.
func TestBursts(t *testing.T) {
	x := stairs(2, 40, 0.3, 0, 2)
	for i := 40; i < 44; i++ {
		x[i][0] += 25
	}
	for i := 15; i < 20; i++ {
		x[i][0] -= 25
	}
	cut, ok := Find(x, Options{Most: 5, Min: 10})
	require.True(t, ok)
	require.Len(t, cut.Stretches, 2)
	assert.InDelta(t, 40, cut.Stretches[0].To, 2)
	assert.LessOrEqual(t, cut.Stretches[0].To, 40)
	assert.InDelta(t, 44, cut.Stretches[1].From, 2)
	assert.GreaterOrEqual(t, cut.Stretches[1].From, 44)
}

// A restless stretch does not eat of its quiet neighbour.
func TestARestlessStretchKeepsToItself(t *testing.T) {
	x := append(stairs(3, 40, 0.8, 0), stairs(4, 40, 0.1, 2)...)
	cut, ok := Find(x, Options{Count: 2, Min: 10})
	require.True(t, ok)
	assert.InDelta(t, 40, cut.Borders[0].At, 2)
	assert.LessOrEqual(t, cut.Stretches[0].To, 40)
	assert.GreaterOrEqual(t, cut.Stretches[1].From, 40)
}

// A feature that changes less than it has to is no border.
func TestLeast(t *testing.T) {
	x := stairs(5, 60, 0.05, 0, 0.5)
	cut, _ := Find(x, Options{Most: 5, Min: 10, Least: []float64{1, 1}})
	assert.Len(t, cut.Stretches, 1)
	cut, _ = Find(x, Options{Most: 5, Min: 10, Least: []float64{0.4, 1}})
	assert.Len(t, cut.Stretches, 2)
}

// More blocks than places for cuts: the borders are placed to the block all the same.
func TestManyBlocks(t *testing.T) {
	x := stairs(6, 1501, 0.2, 0, 1, 0)
	cut, _ := Find(x, Options{Most: 5, Min: 40})
	require.Len(t, cut.Borders, 2)
	assert.InDelta(t, 1501, cut.Borders[0].At, 1)
	assert.InDelta(t, 3002, cut.Borders[1].At, 1)
}

// Features that change clearly, each at a time of its own: the range of the
// border goes from the first change to the last.
func TestTheRangeSpansAllFeatures(t *testing.T) {
	x := stairs(7, 100, 0.2, 0)
	for i := range x {
		if i >= 45 {
			x[i][0] += 5
		}
		if i >= 55 {
			x[i][1] -= 7
		}
	}
	cut, ok := Find(x, Options{Count: 2, Min: 20})
	require.True(t, ok)
	assert.InDelta(t, 45, cut.Stretches[0].To, 1)
	assert.InDelta(t, 55, cut.Stretches[1].From, 1)
}

// A feature aside makes no stretch, but places a border that the others leave open.
func TestAFeatureAside(t *testing.T) {
	x := stairs(8, 50, 1, 0, 1.2)
	r := rand.New(rand.NewPCG(8, 8))
	for i := range x {
		x[i][1] = 0.1 * r.NormFloat64()
		if i >= 50 {
			x[i][1]++
		}
		if i >= 90 {
			x[i][1] += 3
		}
	}
	cut, _ := Find(x, Options{Most: 5, Min: 15, Aside: 1, Sure: 4, Penalty: 15})
	require.Len(t, cut.Stretches, 2)
	assert.InDelta(t, 50, cut.Borders[0].At, 1)
	assert.LessOrEqual(t, cut.Borders[0].High-cut.Borders[0].Low, 2)
}
