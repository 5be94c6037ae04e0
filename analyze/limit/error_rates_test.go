package limit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/capture/job"
)

// normal is the distribution function of the standard normal distribution.
func normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// rates judges n figures that scatter normally about the truth, by the guarded
// rule with 95 % intervals, times narrow, and counts the outcomes as shares.
func rates(truth, sigma, narrow float64, lim job.Limit, n int) map[string]float64 {
	r := rand.New(rand.NewPCG(9, math.Float64bits(truth)))
	out := map[string]float64{}
	h := 1.96 * sigma * narrow
	for range n {
		v := truth + sigma*r.NormFloat64()
		out[Judge(v, v-h, v+h, true, "", lim, job.Guarded).Outcome] += 1 / float64(n)
	}
	return out
}

// Sets at and around a limit, from 4 standard errors inside to 4 outside: a set
// truly outside passes, and one truly inside fails, in 2.5 % of cases at most, and
// every outcome comes as often as the normal distribution says. With the truth d
// standard errors outside a limit "at most", a pass has probability
// P(z < -1.96 - d), a fail P(z > 1.96 - d), and the rest is undecided: 95 % at the
// limit itself, 50 % at 1.96 standard errors from it.
func TestErrorRatesOfTheGuardedRule(t *testing.T) {
	const n, sigma = 40000, 0.6
	for _, bound := range []string{job.AtMost, job.AtLeast} {
		lim := job.Limit{Bound: bound, Value: -113, Unit: "dBm"}
		for d := -4.0; d <= 4; d += 0.25 {
			truth := lim.Value + d*sigma
			outside := d
			if bound == job.AtLeast {
				outside = -d
			}
			got := rates(truth, sigma, 1, lim, n)
			for outcome, want := range map[string]float64{
				Pass: normal(-1.96 - outside), Fail: normal(outside - 1.96),
				Undecided: normal(1.96-outside) - normal(-1.96-outside),
			} {
				assert.InDelta(t, want, got[outcome], 4*math.Sqrt(want*(1-want)/n)+1e-4, "%s, %g standard errors outside: %s", bound, outside, outcome)
			}
			sure := 0.025 + 4*math.Sqrt(0.025*0.975/n)
			if outside >= 0 {
				assert.LessOrEqual(t, got[Pass], sure, "%s: wrong passes", bound)
			}
			if outside <= 0 {
				assert.LessOrEqual(t, got[Fail], sure, "%s: wrong fails", bound)
			}
		}
	}
}

// The rates notice intervals that are 30 % too narrow: at the limit 8.5 % of the
// sets would pass, P(z < -1.372), where 2.5 % are claimed.
func TestErrorRatesNoticeNarrowIntervals(t *testing.T) {
	lim := job.Limit{Bound: job.AtMost, Value: -113, Unit: "dBm"}
	got := rates(-113, 0.6, 0.7, lim, 40000)
	assert.InDelta(t, normal(-1.372), got[Pass], 0.006)
	assert.Greater(t, got[Pass], 0.025+0.003)
}
