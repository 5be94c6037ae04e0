package limit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hisspoint/capture/job"
)

func bound(b string, value float64, unit string) job.Limit {
	return job.Limit{Bound: b, Value: value, Unit: unit}
}

// The guarded rule with the guard band of the expanded uncertainty: ISO
// 14253-1 (conformance inside, non-conformance outside, no proof between).
func TestJudge(t *testing.T) {
	most, least := bound(job.AtMost, 5, "%"), bound(job.AtLeast, 40, "dB")
	for _, c := range []struct {
		name             string
		value, low, high float64
		has              bool
		open             string
		lim              job.Limit
		guarded, byValue string
	}{
		{"wholly inside", 4, 3.5, 4.5, true, "", most, Pass, Pass},
		{"wholly outside", 6, 5.5, 6.5, true, "", most, Fail, Fail},
		{"inside, interval over the limit", 4.8, 4.3, 5.3, true, "", most, Undecided, Pass},
		{"outside, interval over the limit", 5.2, 4.7, 5.7, true, "", most, Undecided, Fail},
		{"upper end on the limit is inside", 4.5, 4, 5, true, "", most, Pass, Pass},
		{"lower end on the limit is not wholly outside", 5.5, 5, 6, true, "", most, Undecided, Fail},
		{"value on the limit", 5, 5, 5, true, "", most, Pass, Pass},
		{"no interval", 4, 0, 0, false, "", most, Undecided, Pass},
		{"no interval, far outside", 50, 0, 0, false, "", most, Undecided, Fail},
		{"open above cannot pass at most", 4, 3.5, 4.5, true, OpenHigh, most, Undecided, Pass},
		{"open above can fail at most", 6, 5.5, 6.5, true, OpenHigh, most, Fail, Fail},
		{"open below can pass at most", 4, 3.5, 4.5, true, OpenLow, most, Pass, Pass},
		{"open below cannot fail at most", 6, 5.5, 6.5, true, OpenLow, most, Undecided, Fail},
		{"at least, inside", 42, 41, 43, true, "", least, Pass, Pass},
		{"at least, lower end on the limit", 41, 40, 42, true, "", least, Pass, Pass},
		{"at least, outside", 38, 37, 39, true, "", least, Fail, Fail},
		{"at least, over the limit", 40.5, 39.5, 41.5, true, "", least, Undecided, Pass},
		{"at least, open below cannot pass", 42, 41, 43, true, OpenLow, least, Undecided, Pass},
		{"an interval that is no number", 4, math.NaN(), 4.5, true, "", most, Undecided, Pass},
		{"an interval upside down", 4, 4.5, 3.5, true, "", most, Undecided, Pass},
		{"no value", math.NaN(), 0, 0, false, "", most, Undecided, Undecided},
		{"no finite value", math.Inf(-1), math.Inf(-1), 0, true, "", most, Undecided, Undecided},
		{"a limit without a side", 4, 3, 5, true, "", bound("", 5, "%"), NotJudged, NotJudged},
		{"a limit without a figure", 4, 3, 5, true, "", bound(job.AtMost, math.NaN(), "%"), NotJudged, NotJudged},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := Judge(c.value, c.low, c.high, c.has, c.open, c.lim, job.Guarded)
			assert.Equal(t, c.guarded, v.Outcome, "guarded")
			assert.Equal(t, v.Outcome == Undecided || v.Outcome == NotJudged, v.Why != "", "says why")
			assert.Equal(t, c.byValue, Judge(c.value, c.low, c.high, c.has, c.open, c.lim, job.ByValue).Outcome, "by value")
		})
	}
}

func TestMargin(t *testing.T) {
	v := Judge(42, 41, 43, true, "", bound(job.AtLeast, 40, "dB"), "")
	require.NotNil(t, v.MarginDB)
	assert.Equal(t, 2.0, *v.MarginDB)
	assert.Equal(t, job.Guarded, v.Rule)
	v = Judge(6, 5, 7, true, "", bound(job.AtMost, 5, "%"), "")
	assert.Nil(t, v.MarginDB, "percent has no margin in dB")
	require.NotNil(t, v.Margin)
	assert.Equal(t, -1.0, *v.Margin)
}

// A guarded pass or fail never contradicts the value, nor any value inside of
// the interval.
func TestGuardedNeverContradictsTheInterval(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.Float64Range(-200, 200).Draw(t, "value")
		half := rapid.Float64Range(0, 20).Draw(t, "half")
		at := rapid.Float64Range(-1, 1).Draw(t, "at")
		lim := bound(rapid.SampledFrom([]string{job.AtMost, job.AtLeast}).Draw(t, "bound"), rapid.Float64Range(-200, 200).Draw(t, "limit"), "dB")
		v := Judge(value, value-half, value+half, true, "", lim, job.Guarded)
		somewhere := Judge(value+at*half, 0, 0, false, "", lim, job.ByValue)
		if v.Outcome != Undecided {
			require.Equal(t, v.Outcome, somewhere.Outcome)
		}
	})
}
