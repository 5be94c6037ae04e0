package drift

import (
	"math"
	"math/cmplx"
)

const (
	maxOrder   = 10   // highest harmonic that follows
	pieces     = 50   // into which a harmonic is cut to see how it scatters
	stands     = 30   // power over what noise gives, from which a harmonic is moved along
	belowLimit = 0.45 // of the sample rate
)

// Straighten puts a steady tone of the same amplitude and mean frequency in place of the
// moving one, and of those of its harmonics that stand out of the noise:
//
//	x(t) -> x(t) - a cos(h p(t) + b) + a cos(h q(t) + b),   q straight
//
// with a and b by least squares for each harmonic h. All else in x stays as it is.
func (c *Course) Straighten(x []float64, offset float64) {
	n := len(x)
	turn := make([]complex128, n) // exp(i p)
	slope := 2 * math.Pi * c.hz() / c.Rate
	start := c.Coef[0] - slope*float64(n)/2
	next, slips := 0, 0.0
	for t := range x {
		for next < len(c.Slips) && t >= c.Slips[next].At {
			slips += c.Slips[next].Turn
			next++
		}
		p := at(c.Coef, 2*float64(t)/float64(n)-1) + slips
		turn[t] = cmplx.Rect(1, math.Mod(p, 2*math.Pi))
	}
	var steady [maxOrder + 1]complex128 // what goes back in once all that moves is out
	for h := 1; h <= maxOrder && float64(h)*c.hz() < belowLimit*c.Rate; h++ {
		a, b, ok := project(x, offset, turn, h)
		if !ok && h > 1 {
			continue
		}
		steady[h] = complex(a, b)
		for t, z := range turn {
			z = toThe(z, h)
			x[t] += b*imag(z) - a*real(z)
		}
	}
	for h, v := range steady {
		if v == 0 {
			continue
		}
		for t := range x {
			z := cmplx.Rect(1, math.Mod(float64(h)*(start+slope*float64(t)), 2*math.Pi))
			x[t] += real(v)*real(z) - imag(v)*imag(z)
		}
	}
}

// project is the least-squares fit of a cos(h p) - b sin(h p) to x, and whether it
// stands above what the scatter from piece to piece gives.
func project(x []float64, offset float64, turn []complex128, h int) (a, b float64, ok bool) {
	n := len(x)
	var parts [pieces]complex128
	var cc, ss, cs, xc, xs float64
	for t, v := range x {
		z := toThe(turn[t], h)
		co, si := real(z), -imag(z)
		cc += co * co
		ss += si * si
		cs += co * si
		xc += (v - offset) * co
		xs += (v - offset) * si
		parts[t*pieces/n] += complex((v-offset)*co, (v-offset)*si)
	}
	det := cc*ss - cs*cs
	if det == 0 {
		return 0, 0, false
	}
	a, b = (xc*ss-xs*cs)/det, (xs*cc-xc*cs)/det
	var mean complex128
	for _, p := range parts {
		mean += p / pieces
	}
	scatter := 0.0
	for _, p := range parts {
		d := p - mean
		scatter += real(d)*real(d) + imag(d)*imag(d)
	}
	scatter /= pieces * (pieces - 1)
	return a, b, real(mean)*real(mean)+imag(mean)*imag(mean) > stands*scatter
}

// toThe is z to the power of h.
func toThe(z complex128, h int) complex128 {
	out := z
	for range h - 1 {
		out *= z
	}
	return out
}
