// Package curve finds where a measured, rising series crosses a threshold.
package curve

import (
	"errors"
	"math"
	"sort"
)

// Sample is one reading of a series: Y at X with standard error S of Y.
type Sample struct{ X, Y, S float64 }

// Crossing is where the series reaches the threshold.
type Crossing struct {
	X     float64
	S     float64 // standard error of X, from that of the samples and from what lies between them
	Own   float64 // the part of S that comes from the samples
	Slope float64 // dY/dX there
	Span  float64 // how far the two places beside it lie apart
}

// Reasons for which there is no crossing.
var (
	ErrFew      = errors.New("fewer than two places on the axis")
	ErrBelow    = errors.New("every reading meets the threshold")
	ErrAbove    = errors.New("no reading meets the threshold")
	ErrMultiple = errors.New("the series crosses the threshold more than once")
)

// insist is how many standard errors two readings must disagree by for the
// series to be called falling where it should rise, and fall is the least drop
// in Y that counts at all.
const (
	insist = 4
	fall   = 1.0
)

// sharp is the least standard error that a reading is given, in the unit of Y:
// blocks of one recording do not see what differs from one recording to the next.
const sharp = 0.01

// Rising finds the crossing of a series that by its physics rises with X.
//
// Samples at the same X are joined, weighted by the inverse square of their
// standard errors. Where the series falls by no more than its scatter it is
// levelled (isotonic regression, pool-adjacent-violators; Barlow et al. 1972).
// Between the places it runs along a monotone cubic (Hyman 1983). The standard
// error of X follows from moving each reading by its own standard error and finding
// the crossing again, and from how far the set's own curve may stray between the
// places. Nothing is extrapolated.
func Rising(samples []Sample, threshold float64) (Crossing, error) {
	return FM.Rising(samples, threshold)
}

// Rising is the crossing of a set of that course.
func (c Course) Rising(samples []Sample, threshold float64) (Crossing, error) {
	joined := join(samples)
	if len(joined) < 2 {
		return Crossing{}, ErrFew
	}
	below, above := 0, 0
	for _, p := range joined {
		if p.Y < threshold {
			below++
		} else {
			above++
		}
	}
	switch {
	case below == 0:
		return Crossing{}, ErrBelow
	case above == 0:
		return Crossing{}, ErrAbove
	case crossesTwice(joined, threshold):
		return Crossing{}, ErrMultiple
	}
	x, slope, span, ok := cross(joined, threshold)
	if !ok {
		return Crossing{}, ErrMultiple
	}
	own := moved(joined, threshold, x)
	return Crossing{X: x, S: math.Hypot(own, c.between(joined, threshold)), Own: own, Slope: slope, Span: span}, nil
}

// Course is how far the curve of a set may stray from the one drawn through its
// readings, as a standard error in dB a cubed dB.
type Course struct {
	Inside float64 // with readings on both sides of the two around the crossing
	End    float64 // next to an end of the series
}

// Courses of sets.
var (
	// FM was found on the SINAD of FM receivers near 12 dB (Monte Carlo of an ideal
	// limiter-discriminator with and without de-emphasis), where it bends most.
	FM = Course{0.003, 0.006}
	// Linear is that of AM and SSB: (S+N)/N = 1 + S/N, whose S/N goes with the level dB for
	// dB up to a floor 35 dB down, in closed form over thresholds of 6 to 20 dB and steps of
	// 1 to 6 dB (root mean squares; the largest is four times that).
	Linear = Course{0.00015, 0.00045}
)

// between is the standard error of X from what the set does between two places.
// It grows with the third power of their distance, as the error of a cubic with
// slopes from three points does, and is never more than that of a crossing
// anywhere between them.
func (c Course) between(p []Sample, threshold float64) float64 {
	y := level(p)
	for i := 0; i+1 < len(y); i++ {
		if y[i] >= threshold || y[i+1] < threshold {
			continue
		}
		h := p[i+1].X - p[i].X
		wide, k := h, c.Inside
		if i > 0 {
			wide = math.Max(wide, p[i].X-p[i-1].X)
		}
		if i+2 < len(p) {
			wide = math.Max(wide, p[i+2].X-p[i+1].X)
		}
		if i == 0 || i+2 == len(p) {
			k = c.End
		}
		return math.Min(k*h*h*wide, h/math.Sqrt(12))
	}
	return 0
}

// moved is the root sum square of how far the crossing moves when each reading
// moves by its standard error, the mean of both directions.
func moved(p []Sample, threshold, x float64) float64 {
	sum := 0.0
	for i := range p {
		y := p[i].Y
		var d, n float64
		for _, sign := range []float64{-1, 1} {
			p[i].Y = y + sign*p[i].S
			if at, _, _, ok := cross(p, threshold); ok {
				d += math.Abs(at - x)
				n++
			}
		}
		p[i].Y = y
		if n > 0 {
			sum += (d / n) * (d / n)
		}
	}
	return math.Sqrt(sum)
}

// join makes one sample of those at the same X, lowest X first. Where repeats
// differ by more than their own errors say, the joined error grows with them
// (Birge's ratio).
func join(in []Sample) []Sample {
	p := append([]Sample(nil), in...)
	sort.SliceStable(p, func(i, j int) bool { return p[i].X < p[j].X })
	var out []Sample
	for i := 0; i < len(p); {
		j := i
		var w, wy float64
		for ; j < len(p) && p[j].X-p[i].X < 1e-6; j++ {
			s := math.Max(p[j].S, sharp)
			w += 1 / (s * s)
			wy += p[j].Y / (s * s)
		}
		y := wy / w
		chi := 0.0
		for k := i; k < j; k++ {
			s := math.Max(p[k].S, sharp)
			chi += (p[k].Y - y) * (p[k].Y - y) / (s * s)
		}
		s := math.Sqrt(1 / w)
		if n := float64(j - i); n > 1 && chi > n-1 {
			s *= math.Sqrt(chi / (n - 1))
		}
		out = append(out, Sample{p[i].X, y, s})
		i = j
	}
	return out
}

// crossesTwice tells whether the series meets the threshold at one place and,
// beyond doubt, fails it at a higher one.
func crossesTwice(p []Sample, threshold float64) bool {
	for i := range p {
		for j := i + 1; j < len(p); j++ {
			d := math.Hypot(p[i].S, p[j].S)
			if p[i].Y-p[j].Y > math.Max(fall, insist*d) && p[i].Y > threshold && p[j].Y < threshold {
				return true
			}
		}
	}
	return false
}

// level makes the series rise: neighbours that fall are pooled, weighted.
func level(p []Sample) []float64 {
	type pool struct {
		y, w float64
		n    int
	}
	var st []pool
	for _, s := range p {
		e := math.Max(s.S, sharp)
		st = append(st, pool{s.Y, 1 / (e * e), 1})
		for len(st) > 1 && st[len(st)-2].y > st[len(st)-1].y {
			a, b := st[len(st)-2], st[len(st)-1]
			st = append(st[:len(st)-2], pool{(a.y*a.w + b.y*b.w) / (a.w + b.w), a.w + b.w, a.n + b.n})
		}
	}
	var y []float64
	for _, s := range st {
		for range s.n {
			y = append(y, s.y)
		}
	}
	return y
}

// cross finds the crossing of the levelled series.
func cross(p []Sample, threshold float64) (x, slope, span float64, ok bool) {
	y := level(p)
	for i := 0; i+1 < len(y); i++ {
		if y[i] < threshold && y[i+1] >= threshold {
			s := scaleFor(y)
			c, h := drawn(p, y, i, s), p[i+1].X-p[i].X
			at := s.of(threshold)
			lo, hi := 0.0, 1.0
			for range 60 {
				mid := (lo + hi) / 2
				if c.at(mid) < at {
					lo = mid
				} else {
					hi = mid
				}
			}
			return p[i].X + hi*h, c.slope(hi) / h / s.slope(threshold), h, true
		}
	}
	return 0, 0, 0, false
}

// scale is how Y is counted while a curve is drawn through it: as log(Y + add), or as
// it is where add is 0.
type scale struct{ add float64 }

// Near their threshold FM receivers bend upwards and, some dB higher, back again.
// Drawn in log(Y + 20 dB) a curve through levels 3 dB apart misses theirs by a third
// less than one drawn in dB, and stays within 0.003 dB of the straighter ones of AM.
const knee = 20

// scaleFor takes two readings as they are, so that between them the line is straight,
// and also what lies too far below 0 dB.
func scaleFor(y []float64) scale {
	if len(y) == 2 || y[0] < 1-knee {
		return scale{}
	}
	return scale{knee}
}

func (s scale) of(y float64) float64 {
	if s.add == 0 {
		return y
	}
	return math.Log(y + s.add)
}

// slope is d of/dy.
func (s scale) slope(y float64) float64 {
	if s.add == 0 {
		return 1
	}
	return 1 / (y + s.add)
}

// piece is a cubic over one interval, its argument from 0 to 1.
type piece struct{ a, b, c, d float64 }

func (q piece) at(t float64) float64    { return q.a + t*(q.b+t*(q.c+t*q.d)) }
func (q piece) slope(t float64) float64 { return q.b + t*(2*q.c+t*3*q.d) }

// drawn is the piece of the curve between places i and i+1.
func drawn(p []Sample, y []float64, i int, in scale) piece {
	z := make([]float64, len(y))
	for k := range y {
		z[k] = in.of(y[k])
	}
	m := slopes(p, z)
	h := p[i+1].X - p[i].X
	s := (z[i+1] - z[i]) / h
	return piece{a: z[i], b: m[i] * h, c: (3*s - 2*m[i] - m[i+1]) * h, d: (m[i] + m[i+1] - 2*s) * h}
}

// slopes are those of the natural spline, kept between 0 and three times the lesser
// slope beside each, so that the curve rises where the places do (J. M. Hyman, SIAM
// Journal on Scientific and Statistical Computing 4, 645, 1983).
func slopes(p []Sample, z []float64) []float64 {
	m := natural(p, z)
	for i := range m {
		most := math.Inf(1)
		if i > 0 {
			most = 3 * secant(p, z, i-1)
		}
		if i < len(m)-1 {
			most = math.Min(most, 3*secant(p, z, i))
		}
		m[i] = math.Max(0, math.Min(m[i], most))
	}
	return m
}

// secant is the slope from place i to the next.
func secant(p []Sample, z []float64, i int) float64 {
	return (z[i+1] - z[i]) / (p[i+1].X - p[i].X)
}

// natural gives the slopes of the natural cubic spline through the places, whose second
// derivative is continuous, and 0 at both ends.
func natural(p []Sample, z []float64) []float64 {
	n := len(z)
	// Rows (below, on, above | right) of a tridiagonal system, solved as they come.
	above, m := make([]float64, n), make([]float64, n)
	for i := range m {
		below, on, over, right := 0.0, 2.0, 0.0, 0.0
		switch {
		case i == 0:
			over, right = 1, 3*secant(p, z, 0)
		case i == n-1:
			below, right = 1, 3*secant(p, z, n-2)
		default:
			h0, h1 := p[i].X-p[i-1].X, p[i+1].X-p[i].X
			below, on, over = h1, 2*(h0+h1), h0
			right = 3 * (h1*secant(p, z, i-1) + h0*secant(p, z, i))
		}
		if i > 0 {
			on -= below * above[i-1]
			right -= below * m[i-1]
		}
		above[i], m[i] = over/on, right/on
	}
	for i := n - 2; i >= 0; i-- {
		m[i] -= above[i] * m[i+1]
	}
	return m
}
