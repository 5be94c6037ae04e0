// Package scatter turns the spread of a recording's own blocks into intervals.
package scatter

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// StudentT returns t such that a Student variable with dof degrees of freedom
// lies within +-t with the given confidence (0 < confidence < 1). It is found
// from the inverse of the regularised incomplete beta function
// (Abramowitz & Stegun 26.7.1): x = I^-1(dof/2, 1/2; 1-confidence),
// t = sqrt(dof (1-x)/x). It is +Inf for dof <= 0.
func StudentT(dof, confidence float64) float64 {
	if dof <= 0 {
		return math.Inf(1)
	}
	x := mathext.InvRegIncBeta(dof/2, 0.5, 1-confidence)
	return math.Sqrt(dof * (1 - x) / x)
}

// Normal95 is the two-sided 95 % point of the normal distribution.
const Normal95 = 1.959963984540054

// Jackknife returns the standard error of a statistic from its n values with
// one block left out each: sqrt((n-1)/n sum (theta_i - mean)^2) (Efron 1982).
func Jackknife(leaveOneOut []float64) float64 {
	n := float64(len(leaveOneOut))
	if n < 2 {
		return math.Inf(1)
	}
	mean := 0.0
	for _, x := range leaveOneOut {
		mean += x / n
	}
	ss := 0.0
	for _, x := range leaveOneOut {
		ss += (x - mean) * (x - mean)
	}
	return math.Sqrt(ss * (n - 1) / n)
}
