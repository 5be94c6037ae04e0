package curve

import (
	"flag"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/interp"
	"pgregory.net/rapid"
)

// Properties are tried on the same values every time; -rapid.seed tries others.
func init() {
	if err := flag.Set("rapid.seed", "1"); err != nil {
		panic(err)
	}
}

// A straight line through two places is crossed where it is. Through more it is crossed
// within one standard error of what the set may do between them, and 0.002 dB, whatever
// the spacing, in any order.
func TestStraightLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 30).Draw(t, "places")
		slope := rapid.Float64Range(0.5, 4).Draw(t, "slope")
		truth := rapid.Float64Range(-130, -60).Draw(t, "truth")
		x := truth - rapid.Float64Range(0.01, 5).Draw(t, "before")
		in := []Sample{{x, 12 + slope*(x-truth), 0.1}}
		for i := 1; i < n; i++ {
			x += rapid.Float64Range(0.2, 6).Draw(t, "step")
			if i == n-1 {
				x = math.Max(x, truth+0.1)
			}
			in = append(in, Sample{x, 12 + slope*(x-truth), 0.1})
		}
		order := rapid.Permutation(in).Draw(t, "order")
		c, err := Rising(order, 12)
		require.NoError(t, err)
		if n == 2 {
			assert.InDelta(t, truth, c.X, 1e-6)
			assert.InDelta(t, slope, c.Slope, 1e-6)
		}
		assert.LessOrEqual(t, math.Abs(c.X-truth), math.Sqrt(c.S*c.S-c.Own*c.Own)+0.002)
		assert.Positive(t, c.S)
	})
}

// Whatever is measured: the crossing lies between the lowest and the highest
// place, next to readings on both sides of the threshold, with a standard error
// that is a number; and adding the same to all places moves it by as much.
func TestNeverExtrapolates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Sample {
			return Sample{
				X: float64(rapid.IntRange(-130, -100).Draw(t, "x")),
				Y: rapid.Float64Range(-5, 60).Draw(t, "y"),
				S: rapid.SampledFrom([]float64{0, 0.01, 0.3, 3}).Draw(t, "s"),
			}
		}), 0, 30).Draw(t, "samples")
		c, err := Rising(in, 12)
		if err != nil {
			return
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, s := range in {
			low, high = math.Min(low, s.X), math.Max(high, s.X)
		}
		assert.GreaterOrEqual(t, c.X, low)
		assert.LessOrEqual(t, c.X, high)
		assert.GreaterOrEqual(t, c.Slope, 0.0)
		assert.False(t, math.IsNaN(c.S) || c.S < 0, "%v", c.S)
		for i := range in {
			in[i].X += 50
		}
		moved, err := Rising(in, 12)
		require.NoError(t, err)
		assert.InDelta(t, c.X+50, moved.X, 1e-6)
	})
}

// The curve between rising readings rises.
func TestMonotoneBetweenReadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p []Sample
		var x, y float64
		for range rapid.IntRange(2, 10).Draw(t, "places") {
			x += rapid.Float64Range(0.1, 5).Draw(t, "step")
			y += rapid.Float64Range(0.01, 10).Draw(t, "rise")
			p = append(p, Sample{x, y, 0.1})
		}
		flat := level(p)
		for i := range len(p) - 1 {
			in := scaleFor(flat)
			c, last := drawn(p, flat, i, in), in.of(flat[i])
			for k := 1; k <= 50; k++ {
				v := c.at(float64(k) / 50)
				assert.GreaterOrEqual(t, v, last-1e-9)
				last = v
			}
			assert.InDelta(t, in.of(flat[i+1]), last, 1e-9)
		}
	})
}

// A higher threshold is crossed at no lower place.
func TestHigherThresholdIsHigherUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var in []Sample
		for i := range rapid.IntRange(2, 12).Draw(t, "places") {
			in = append(in, Sample{float64(i), 2*float64(i) + rapid.Float64Range(-1, 1).Draw(t, "noise"), 0.5})
		}
		a := rapid.Float64Range(0, 20).Draw(t, "threshold")
		first, err := Rising(in, a)
		if err != nil {
			return
		}
		second, err := Rising(in, a+rapid.Float64Range(0, 3).Draw(t, "more"))
		if err != nil {
			return
		}
		assert.LessOrEqual(t, first.X, second.X+1e-9)
	})
}

func TestStatuses(t *testing.T) {
	const s = 0.2
	for name, c := range map[string]struct {
		in   []Sample
		want error
	}{
		"nothing":                  {nil, ErrFew},
		"one place, three times":   {[]Sample{{1, 10, s}, {1, 14, s}, {1, 12, s}}, ErrFew},
		"all above":                {[]Sample{{1, 13, s}, {2, 15, s}}, ErrBelow},
		"lowest on the threshold":  {[]Sample{{1, 12, s}, {2, 15, s}}, ErrBelow},
		"all below":                {[]Sample{{1, 3, s}, {2, 11.9, s}}, ErrAbove},
		"highest on the threshold": {[]Sample{{1, 3, s}, {2, 12, s}}, nil},
		"two places":               {[]Sample{{1, 3, s}, {2, 15, s}}, nil},
		"dips within its scatter":  {[]Sample{{1, 8, s}, {2, 12.3, s}, {3, 11.9, s}, {4, 18, s}}, nil},
		"dips beyond doubt":        {[]Sample{{1, 8, s}, {2, 15, s}, {3, 9, s}, {4, 18, s}}, ErrMultiple},
		"dips, readings unsure":    {[]Sample{{1, 8, 3}, {2, 15, 3}, {3, 9, 3}, {4, 18, 3}}, nil},
		"falls beyond doubt":       {[]Sample{{1, 20, s}, {2, 5, s}}, ErrMultiple},
		"dips above the threshold": {[]Sample{{1, 8, s}, {2, 20, s}, {3, 15, s}, {4, 25, s}}, nil},
	} {
		_, err := Rising(c.in, 12)
		assert.ErrorIs(t, err, c.want, name)
	}
}

// Repeats count by the inverse square of their standard errors, and the error
// grows where they differ by more than those say.
func TestRepeats(t *testing.T) {
	got := join([]Sample{{5, 10, 0.1}, {5, 13, 0.2}, {7, 1, 0.3}})
	require.Len(t, got, 2)
	assert.InDelta(t, (10/0.01+13/0.04)/(1/0.01+1/0.04), got[0].Y, 1e-12)
	birge := math.Sqrt(math.Pow(10-got[0].Y, 2)/0.01 + math.Pow(13-got[0].Y, 2)/0.04) // over n-1 = 1
	assert.InDelta(t, birge/math.Sqrt(1/0.01+1/0.04), got[0].S, 1e-12)

	four := join([]Sample{{5, 10, 0.2}, {5, 10.1, 0.2}, {5, 9.9, 0.2}, {5, 10, 0.2}})
	require.Len(t, four, 1)
	assert.InDelta(t, 0.1, four[0].S, 1e-12, "four agreeing ones halve the error")
}

// Midway between two of many places a quarter apart, a cubic spline weighs the readings
// beside it by L(k) = sqrt 3 sum_i B(i-1/2) z^|i-k|, z = sqrt 3 - 2, with the cubic
// B-spline's B(1/2) = 23/48 and B(3/2) = 1/48 (I. J. Schoenberg, Cardinal Spline
// Interpolation, SIAM 1973), so readings of error s on a line of slope b give the
// crossing the error s/b times the root of the squared weights; what the curve may do
// between the places adds nothing to speak of.
func TestStandardErrorOfTheCrossing(t *testing.T) {
	var in []Sample
	squares, z := 0.0, math.Sqrt(3)-2
	for k := -4; k <= 5; k++ {
		x := 0.25 * (float64(k) - 0.5)
		in = append(in, Sample{x, 12 + 3*x, 0.05})
		w := 0.0
		for i, b := range map[int]float64{-1: 1.0 / 48, 0: 23.0 / 48, 1: 23.0 / 48, 2: 1.0 / 48} {
			w += math.Sqrt(3) * b * math.Pow(z, math.Abs(float64(i-k)))
		}
		squares += w * w
	}
	c, err := Rising(in, 12)
	require.NoError(t, err)
	assert.InEpsilon(t, 0.05/3*math.Sqrt(squares), c.S, 0.02)
}

// The slopes are those of the natural spline of another library where that rises.
func TestNaturalSpline(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p []Sample
		var x, y []float64
		at, v := 0.0, 0.0
		for range rapid.IntRange(3, 12).Draw(t, "places") {
			at += rapid.Float64Range(0.1, 5).Draw(t, "step")
			v += rapid.Float64Range(-3, 10).Draw(t, "rise")
			p, x, y = append(p, Sample{at, v, 0.1}), append(x, at), append(y, v)
		}
		var other interp.NaturalCubic
		require.NoError(t, other.Fit(x, y))
		for i, m := range natural(p, y) {
			assert.InDelta(t, other.PredictDerivative(x[i]), m, 1e-6*(1+math.Abs(m)))
		}
	})
}
