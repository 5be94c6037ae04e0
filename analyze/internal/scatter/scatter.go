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

// Lines sums the powers of lines fitted in noise.
type Lines struct{ power, mixed, weight, square float64 }

// Add adds a line of one fit: its fitted mean square less floor, the mean square
// that noise alone gives a fitted line. The difference may be negative.
func (l *Lines) Add(power, floor float64) { l.AddMean(power, floor, floor*floor) }

// AddMean adds a line whose power is the weighted mean over several stretches, sum
// w_i (P_i - f_i), of which each was fitted by itself: floor is sum w_i^2 f_i, by
// which noise moves a line that is there, and square is sum w_i^2 f_i^2, the variance
// of what noise alone gives. With n equal stretches the first is f/n and the second
// f^2/n: powers are averaged, so noise alone does not fall as in one long fit.
func (l *Lines) AddMean(power, floor, square float64) {
	l.power += power
	l.square += square
	w := math.Max(0, power) + math.Sqrt(square)
	l.weight += w
	l.mixed += w * floor
}

// Interval95 is the 95 % interval of the summed true power of the lines, which
// is never below 0.
//
// A line of power P in noise of floor f is fitted with a power whose double over
// f is a noncentral chi-square variable of 2 degrees of freedom and noncentrality
// 2P/f; the sum of several is one of more degrees, where floors are unequal one of
// the same variance. The ends are the powers for which what was fitted stands at the
// 97.5 % and the 2.5 % point.
func (l *Lines) Interval95() (low, high float64) {
	if l.mixed <= 0 {
		return math.Max(0, l.power), math.Max(0, l.power)
	}
	f := l.mixed / l.weight
	dof := 2 * l.square / (f * f)
	x := 2*l.power/f + dof
	below := func(lambda float64) float64 { // probability of what was fitted or less
		return noncentral(math.Max(0, x), dof, lambda)
	}
	at := func(p float64) float64 {
		if below(0) <= p {
			return 0
		}
		lo, hi := 0.0, math.Max(1, x)
		for below(hi) > p && hi < 1e300 {
			hi *= 2
		}
		for hi-lo > 1e-10*hi {
			if mid := (lo + hi) / 2; below(mid) > p {
				lo = mid
			} else {
				hi = mid
			}
		}
		return lo * f / 2
	}
	return at(0.975), at(0.025)
}

// noncentral is the distribution function of a noncentral chi-square variable: central
// ones weighted by Poisson's probabilities (Abramowitz & Stegun 26.4.25), each from the
// one before by P(a+1, x) = P(a, x) - x^a e^-x / Gamma(a+1) (26.4.8). From a
// noncentrality of 1000 on Patnaik's approximation (Biometrika 36, 202, 1949) takes its
// place, which is within 0.002 there: c times a chi-square variable of the same mean and variance.
func noncentral(x, dof, lambda float64) float64 {
	if lambda > 1000 {
		c := (dof + 2*lambda) / (dof + lambda)
		return mathext.GammaIncReg((dof+lambda)/c/2, x/c/2)
	}
	if x == 0 {
		return 0
	}
	a, y := dof/2, x/2
	central := mathext.GammaIncReg(a, y)
	lg, _ := math.Lgamma(a + 1)
	step := math.Exp(a*math.Log(y) - y - lg)
	weight, sum := math.Exp(-lambda/2), 0.0
	for j := 1.0; ; j++ {
		sum += weight * math.Max(0, central)
		central -= step
		step *= y / (a + j)
		weight *= lambda / 2 / j
		if j > lambda/2 && weight < 1e-12 {
			return sum
		}
	}
}
