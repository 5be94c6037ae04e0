package drift

import "math"

// gateZ is how many standard errors of the phase show that it moves: chance passes it
// once in some thousand sounds, and costs time only.
const gateZ = 5

// Restless tells whether a course of phase, in hops that share little noise, is more
// than noise about a straight line: whether it bends, steps, or wavers.
func Restless(phase []float64) bool {
	n := len(phase)
	if n < leastHops {
		return false
	}
	u := make([]float64, n)
	for i := range u {
		u[i] = (2*float64(i)+1)/float64(n) - 1
	}
	basis := basisOf(u, 4)
	sigma := math.Max(1e-9, lagScatter(phase))
	r := solveFor(basis[:2], nil, despiked(phase, sigma)).rest
	for k := 2; k < len(basis); k++ {
		sum := 0.0
		for i, p := range basis[k] {
			sum += p * r[i]
		}
		if math.Abs(sum)*math.Sqrt(float64(2*k+1)/float64(n)) > gateZ*sigma {
			return true
		}
	}
	return steps(r, u, sigma) || colour(r, nil, sigma*sigma) > 1
}

// steps tells whether r, which has no straight line in it, has a step at any place: the
// step is taken less its own straight line, which r has lost.
func steps(r, u []float64, sigma float64) bool {
	n := float64(len(r))
	uu := 0.0
	for _, v := range u {
		uu += v * v
	}
	sum, su := 0.0, 0.0
	for i := len(r) - 1; i >= segment; i-- {
		sum += r[i]
		su += u[i]
		m := n - float64(i)
		if left := m - m*m/n - su*su/uu; m >= segment && math.Abs(sum) > gateZ*sigma*math.Sqrt(math.Max(left, 1e-9)) {
			return true
		}
	}
	return false
}
