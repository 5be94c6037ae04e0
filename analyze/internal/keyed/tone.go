package keyed

import "math"

// Sine is a fitted tone: A cos(wt) + B sin(wt) + C, t in samples from the first
// sample that was fitted.
type Sine struct{ W, A, B, C float64 }

// At is the tone at sample t.
func (s Sine) At(t float64) float64 {
	sin, cos := math.Sincos(s.W * t)
	return s.A*cos + s.B*sin + s.C
}

// Fit fits a tone by least squares (IEEE 1057, four parameters), starting from
// w radians a sample. The frequency has to be known to within half a cycle over
// the length of x.
func Fit(x []float64, w float64) Sine {
	s := Sine{W: w}
	for range 8 {
		var step float64
		s, step = s.refine(x)
		if math.Abs(step)*float64(len(x)) < 1e-6 {
			break
		}
	}
	return s
}

// refine is one Gauss-Newton step: linear in A, B, C and in the change of w.
func (s Sine) refine(x []float64) (Sine, float64) {
	if s.A == 0 && s.B == 0 { // the derivative by w needs a first guess of the amplitude
		s.A, s.B, s.C, _ = solve(x, s, false)
	}
	a, b, c, d := solve(x, s, true)
	limit := 1 / float64(len(x))
	d = math.Max(-limit, math.Min(limit, d))
	return Sine{s.W + d, a, b, c}, d
}

// solve finds A, B, C and, if free, the change of w that fit x best.
func solve(x []float64, s Sine, free bool) (a, b, c, d float64) {
	n := 3
	if free {
		n = 4
	}
	var m [4][5]float64
	for i, v := range x {
		t := float64(i)
		sin, cos := math.Sincos(s.W * t)
		row := [4]float64{cos, sin, 1, t * (-s.A*sin + s.B*cos)}
		for p := range n {
			for q := range n {
				m[p][q] += row[p] * row[q]
			}
			m[p][4] += row[p] * v
		}
	}
	r := eliminate(m, n)
	return r[0], r[1], r[2], r[3]
}

// eliminate solves n equations; a singular one leaves zeros.
func eliminate(m [4][5]float64, n int) (r [4]float64) {
	for p := range n {
		top := p
		for q := p + 1; q < n; q++ {
			if math.Abs(m[q][p]) > math.Abs(m[top][p]) {
				top = q
			}
		}
		m[p], m[top] = m[top], m[p]
		if m[p][p] == 0 {
			return [4]float64{}
		}
		for q := p + 1; q < n; q++ {
			f := m[q][p] / m[p][p]
			for k := p; k < 5; k++ {
				m[q][k] -= f * m[p][k]
			}
		}
	}
	for p := n - 1; p >= 0; p-- {
		v := m[p][4]
		for q := p + 1; q < n; q++ {
			v -= m[p][q] * r[q]
		}
		r[p] = v / m[p][p]
	}
	return r
}
