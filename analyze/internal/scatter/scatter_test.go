package scatter

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

// Properties are tried on the same values every time; -rapid.seed tries others.
func init() { must(flag.Set("rapid.seed", "1")) }

func must(err error) {
	if err != nil {
		panic(err)
	}
}

// Two-sided points of Student's t as in the table "Critical values of the
// Student's t distribution" of the NIST/SEMATECH e-Handbook of Statistical
// Methods, 1.3.6.7.2 (figures from memory, three decimals).
func TestStudentAgainstItsTable(t *testing.T) {
	for _, row := range []struct{ dof, t90, t95, t99 float64 }{
		{1, 6.314, 12.706, 63.657}, {2, 2.920, 4.303, 9.925}, {3, 2.353, 3.182, 5.841},
		{4, 2.132, 2.776, 4.604}, {5, 2.015, 2.571, 4.032}, {6, 1.943, 2.447, 3.707},
		{7, 1.895, 2.365, 3.499}, {8, 1.860, 2.306, 3.355}, {9, 1.833, 2.262, 3.250},
		{10, 1.812, 2.228, 3.169}, {15, 1.753, 2.131, 2.947}, {19, 1.729, 2.093, 2.861},
		{20, 1.725, 2.086, 2.845}, {30, 1.697, 2.042, 2.750}, {40, 1.684, 2.021, 2.704},
		{60, 1.671, 2.000, 2.660}, {100, 1.660, 1.984, 2.626},
	} {
		assert.InDelta(t, row.t90, StudentT(row.dof, 0.90), 0.00051, "dof %g", row.dof)
		assert.InDelta(t, row.t95, StudentT(row.dof, 0.95), 0.00051, "dof %g", row.dof)
		assert.InDelta(t, row.t99, StudentT(row.dof, 0.99), 0.00051, "dof %g", row.dof)
	}
}

// One and two degrees of freedom have closed forms: tan(pi c/2) and c sqrt(2/(1-c^2)).
func TestStudentClosedForms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(0.01, 0.9999).Draw(t, "confidence")
		assert.InEpsilon(t, math.Tan(math.Pi*c/2), StudentT(1, c), 1e-8)
		assert.InEpsilon(t, c*math.Sqrt(2/(1-c*c)), StudentT(2, c), 1e-8)
	})
	assert.InDelta(t, Normal95, StudentT(1e7, 0.95), 1e-6)
	assert.InDelta(t, 0.95, math.Erf(Normal95/math.Sqrt2), 1e-15)
	assert.True(t, math.IsInf(StudentT(0, 0.95), 1))
	assert.True(t, math.IsInf(StudentT(-1, 0.95), 1))
}

// For a mean the jackknife is the textbook standard error s/sqrt(n), exactly
// (Efron 1982), whatever the values.
func TestJackknifeOfAMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-1e3, 1e3), 2, 60).Draw(t, "x")
		sum := 0.0
		for _, v := range x {
			sum += v
		}
		leave := make([]float64, len(x))
		for i, v := range x {
			leave[i] = (sum - v) / float64(len(x)-1)
		}
		want := stat.StdDev(x, nil) / math.Sqrt(float64(len(x)))
		assert.InDelta(t, want, Jackknife(leave), 1e-9*(1+want))
	})
	assert.True(t, math.IsInf(Jackknife([]float64{1}), 1))
	assert.True(t, math.IsInf(Jackknife(nil), 1))
}

// Mean of n normal values, t times the jackknife to each side: holds the truth
// as often as it says.
func TestIntervalOfAMeanHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	for _, n := range []int{4, 10, 40} {
		const trials = 20000
		in := 0
		tt := StudentT(float64(n-1), 0.95)
		x, leave := make([]float64, n), make([]float64, n)
		for range trials {
			sum := 0.0
			for i := range x {
				x[i] = r.NormFloat64()
				sum += x[i]
			}
			for i := range x {
				leave[i] = (sum - x[i]) / float64(n-1)
			}
			if math.Abs(sum/float64(n)) <= tt*Jackknife(leave) {
				in++
			}
		}
		// 20,000 runs scatter by 0.15 %.
		assert.InDelta(t, 0.95, float64(in)/trials, 0.005, "n %d", n)
	}
}
