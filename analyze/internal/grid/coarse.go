package grid

import (
	"cmp"
	"math"
	"slices"
)

// The first look is at all offsets, with few frames of the low coefficients alone,
// from sound of a quarter of the rate.
const (
	slow      = 4   // samples of x to one of the sound of the first look
	lowTop    = 0.4 // of that sound's rate
	lowFilter = 8 * slow
	lowBands  = 7 // of 32, to the same frequency
)

// curve is S over the offsets, from first on.
type curve struct {
	s     []float64
	first float64
}

// starts are where so many frames begin, spread over the sound.
func (s *search) starts(most int) []int {
	n := s.hop()
	frames := (len(s.x)-s.span())/n - 1
	var out []int
	for i := range most {
		out = append(out, i*(frames-1)/most*n)
	}
	return out
}

// coarseMDCT looks through a quarter of the transform.
func coarseMDCT(small *mdct) func(*search) curve {
	return func(s *search) curve {
		low := s.m.lowOf(s.hop(), small.n, lowTop*2)
		if len(low.use) < leastUsed {
			return curve{}
		}
		c := curve{s: make([]float64, s.hop())}
		c.first = -(slow - 1.0) / 2 // the middle of a frame stays where it is
		var parts [slow][]float64
		for _, at := range s.starts(firstLook) {
			for p := range parts {
				parts[p] = slower(parts[p], s.x, at+p, 3*small.n)
			}
			for i := range c.s {
				c.s[i] += low.sum(small.frame(parts[i%slow][i/slow:]))
			}
		}
		c.mean(len(low.use))
		return c
	}
}

// coarseHybrid looks at the bands up to the same frequency; the slots of one shift of
// the polyphase filter serve 18 offsets.
func coarseHybrid() func(*search) curve {
	return func(s *search) curve {
		h := newHybrid(lowBands)
		low := s.m.lowOf(s.hop(), lowBands*perRun, 1)
		low.e2 = s.m.e2
		if len(low.use) < leastUsed {
			return curve{}
		}
		c := curve{s: make([]float64, s.hop())}
		run := make([]float64, (slots+perRun-1)*lowBands)
		for _, at := range s.starts(firstLook) {
			for shift := range bands {
				for t := range slots + perRun - 1 {
					h.slot(run[t*lowBands:(t+1)*lowBands], s.x[at+shift+t*bands:])
				}
				for a := range perRun {
					c.s[a*bands+shift] += low.sum(h.granule(run[a*lowBands : (a+slots)*lowBands]))
				}
			}
		}
		c.mean(len(low.use))
		return c
	}
}

// lowOf is the meter for the lower coefficients of a transform of n by one that has
// small of them, for sound of a lower rate.
func (m meter) lowOf(n, small int, share float64) meter {
	low := meter{e2: m.e2 / slow}
	for _, k := range m.use {
		if float64(k) < share*float64(small) {
			low.use = append(low.use, k)
		}
	}
	return low
}

// slower gives n samples of x at a quarter of its rate, the first at sample at,
// through a windowed sinc that passes up to lowTop of the new rate.
func slower(dst, x []float64, at, n int) []float64 {
	dst = dst[:0]
	for i := range n {
		c := at + i*slow
		sum := 0.0
		for j, h := range lowPass {
			if k := c + j - lowFilter; k >= 0 && k < len(x) {
				sum += h * x[k]
			}
		}
		dst = append(dst, sum)
	}
	return dst
}

var lowPass = func() (h [2*lowFilter + 1]float64) {
	for j := range h {
		t := float64(j-lowFilter) / slow
		v := 1.0
		if t != 0 {
			v = math.Sin(math.Pi*t) / (math.Pi * t)
		}
		w := math.Cos(math.Pi / 2 * float64(j-lowFilter) / (lowFilter + 1))
		h[j] = v * w * w / slow
	}
	return h
}()

func (c *curve) mean(used int) {
	for i := range c.s {
		c.s[i] /= float64(used * firstLook)
	}
}

// detrend takes off what waves with the tone, of so many cycles a sample: its mean and
// eight harmonics by least squares, one after the other, which nearly are orthogonal.
func (c *curve) detrend(cycles float64) {
	const harmonics, sweeps = 8, 3
	if cycles <= 0 {
		return
	}
	basis := [][]float64{make([]float64, len(c.s))}
	for i := range c.s {
		basis[0][i] = 1
	}
	for h := 1; h <= harmonics; h++ {
		a, b := make([]float64, len(c.s)), make([]float64, len(c.s))
		for i := range c.s {
			a[i], b[i] = math.Sincos(2 * math.Pi * float64(h) * cycles * float64(i))
		}
		basis = append(basis, a, b)
	}
	for range sweeps {
		for _, b := range basis {
			dot, norm := 0.0, 1e-9
			for i, v := range b {
				dot += v * c.s[i]
				norm += v * v
			}
			for i, v := range b {
				c.s[i] -= dot / norm * v
			}
		}
	}
}

// lowest are the places of the lowest values, the wave of the tone taken off.
func (c *curve) lowest(cycles float64, most int) []float64 {
	c.detrend(cycles)
	order := make([]int, len(c.s))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(c.s[a], c.s[b]) })
	var out []float64
	for _, i := range order[:min(len(order), most)] {
		out = append(out, c.first+float64(i))
	}
	return out
}
