package curve

import (
	"math"
	"slices"
)

// Residual is how far the readings at one place lie from what the others let expect
// there, in the unit of Y, with its standard error by the readings and by what the set
// may do between the others.
type Residual struct {
	X, Off, S, Strays float64
	Fits              float64 // where on the curve of the others such a reading would lie; NaN: nowhere
}

// Residuals leaves out each place in turn and draws the curve through the others. Its
// standard error joins that of the readings there and that of the curve (each of the others
// moved by its own); how far the set may stray between the two places beside it is apart.
// The first and the last place have none, since nothing is extrapolated. Domain: samples
// of a series that rises with X; fewer than four places have no residuals.
func (c Course) Residuals(samples []Sample) (all []Residual) {
	p := join(samples)
	for i := 1; i+1 < len(p) && len(p) >= 4; i++ {
		others := slices.Delete(slices.Clone(p), i, i+1)
		at := valueAt(others, p[i].X)
		sum := p[i].S * p[i].S
		for k := range others {
			y := others[k].Y
			others[k].Y = y + others[k].S
			d := valueAt(others, p[i].X) - at
			others[k].Y = y
			sum += d * d
		}
		h := p[i+1].X - p[i-1].X
		k := c.Inside
		if i == 1 || i+2 == len(p) {
			k = c.End
		}
		rise := math.Max(0, others[i].Y-others[i-1].Y)
		strays := math.Min(k*h*h*h*rise/h, rise/math.Sqrt(12))
		r := Residual{X: p[i].X, Off: p[i].Y - at, S: math.Sqrt(sum), Strays: strays, Fits: math.NaN()}
		if x, _, _, ok := cross(others, p[i].Y); ok {
			r.Fits = x
		}
		all = append(all, r)
	}
	return all
}

// valueAt is the height of the curve drawn through places, at x between them.
func valueAt(p []Sample, x float64) float64 {
	y := level(p)
	s := scaleFor(y)
	for i := 0; i+1 < len(p); i++ {
		if x >= p[i].X && x <= p[i+1].X {
			z := drawn(p, y, i, s).at((x - p[i].X) / (p[i+1].X - p[i].X))
			if s.add == 0 {
				return z
			}
			return math.Exp(z) - s.add
		}
	}
	return math.NaN()
}
