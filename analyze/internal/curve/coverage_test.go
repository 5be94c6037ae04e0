package curve

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/interp"
)

// receiver is SINAD in dB over carrier-to-noise ratio in dB of a simulated FM
// receiver (Monte Carlo of an ideal limiter-discriminator, testdata/reference):
// the column of an IF filter and a deviation, through a natural cubic spline.
func receiver(t testing.TB, system, column string) func(cnr float64) float64 {
	t.Helper()
	f, err := os.Open("../../../testdata/reference/fm_sinad_vs_cnr_wide.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	var x, y []float64
	for _, r := range rows[1:] {
		cnr, err := strconv.ParseFloat(r[at["cnr_db"]], 64)
		if r[at["system"]] != system || err != nil || math.IsInf(cnr, 0) {
			continue
		}
		v, err := strconv.ParseFloat(r[at[column]], 64)
		require.NoError(t, err)
		x, y = append(x, cnr), append(y, v)
	}
	require.Greater(t, len(x), 10)
	var s interp.NaturalCubic
	require.NoError(t, s.Fit(x, y))
	return s.Predict
}

// crossingOf finds where a rising function reaches y, by halving.
func crossingOf(f func(float64) float64, y, lo, hi float64) float64 {
	for range 60 {
		if mid := (lo + hi) / 2; f(mid) < y {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// trial counts, over n series of 5 to 10 levels in steps of 1 to 3 dB whose
// readings scatter by sigma dB, how often 1.96 standard errors, times narrow,
// hold the true crossing, and the mean error.
func trial(t testing.TB, f func(float64) float64, threshold, sigma, narrow float64, n int) (inside, bias float64) {
	t.Helper()
	r := rand.New(rand.NewPCG(5, uint64(1000*sigma)))
	truth := crossingOf(f, threshold, 0, 20)
	found := 0
	for range n {
		places, step := 5+r.IntN(6), 1+2*r.Float64()
		first := truth - step*(float64(1+r.IntN(places-2))-r.Float64())
		var in []Sample
		for i := range places {
			x := first + step*float64(i)
			if x < -2 || x > 30 {
				continue
			}
			in = append(in, Sample{x, f(x) + sigma*r.NormFloat64(), sigma})
		}
		c, err := Rising(in, threshold)
		if err != nil {
			continue
		}
		found++
		bias += c.X - truth
		if math.Abs(c.X-truth) <= 1.96*narrow*c.S {
			inside++
		}
	}
	assert.Greater(t, found, n*9/10)
	return inside / float64(found), bias / float64(found)
}

// holds is the claim: the truth lies inside 93 to 97 % of the time. Where the
// readings are so sure that the curve between them decides, more is allowed.
func holds(inside float64, sharpReadings bool) bool {
	return inside >= 0.93 && (inside <= 0.97 || sharpReadings && inside <= 0.99)
}

// The crossing's interval holds the truth on the curves of FM receivers, at 12 dB and
// at 20 dB, where they bend back; the same check notices an interval that is 30 % too
// narrow, and the bias is under 0.1 dB.
func TestCrossingHoldsTheTruth(t *testing.T) {
	const n = 2000
	for _, c := range []struct {
		column    string
		threshold float64
		sigmas    []float64
	}{
		{"sinad_flat", 12, []float64{0.1, 0.25, 0.5}},
		{"sinad_deemph", 12, []float64{0.1, 0.25, 0.5}},
		{"sinad_tau750us", 12, []float64{0.1, 0.25, 0.5}},
		{"sinad_deemph_o41", 12, []float64{0.1, 0.25, 0.5}},
		{"sinad_deemph", 20, []float64{0.25, 0.5}},
		{"sinad_deemph_o41", 20, []float64{0.1, 0.5}},
	} {
		f := receiver(t, "i", c.column)
		for _, sigma := range c.sigmas {
			inside, bias := trial(t, f, c.threshold, sigma, 1, n)
			narrow, _ := trial(t, f, c.threshold, sigma, 0.7, n)
			t.Logf("%s, %g dB, readings known to %.2f dB: inside %.1f %%, bias %+.3f dB; narrowed by 30 %%: %.1f %%", c.column, c.threshold, sigma, 100*inside, bias, 100*narrow)
			assert.True(t, holds(inside, sigma < 0.2), "%s, %g dB: %.3f", c.column, sigma, inside)
			assert.Less(t, math.Abs(bias), 0.1)
			assert.False(t, holds(narrow, sigma < 0.2), "%s, %g dB: %.3f", c.column, sigma, narrow)
		}
	}
}
