package mains

import (
	"math"
	"slices"

	"hisspoint/analyze/internal/lines"
)

// view is the lower end of a spectrum as powers: every bin as the mean square that a
// line would have that stood alone in it. Noise of the density S gives each bin the
// mean S/T (T the seconds), which is what noise alone gives a fitted line: its floor.
type view struct {
	s       *lines.Spectrum
	rate    float64
	seconds float64
	floor   []float64 // rough, of each bin
}

func look(s *lines.Spectrum, rate, top float64) *view {
	n := min(len(s.R), int(top/rate*float64(s.M))+1)
	own := &lines.Spectrum{R: append([]complex128(nil), s.R[:n]...), N: s.N, M: s.M}
	return &view{s: own, rate: rate, seconds: float64(s.N) / rate}
}

// least is the floor of the arithmetic itself, as a mean square: nothing below is a signal.
const least = 1e-18

func (v *view) bin(hz float64) float64 { return hz / v.rate * float64(v.s.M) }
func (v *view) hz(bin float64) float64 { return bin / float64(v.s.M) * v.rate }

// top is the highest frequency that may be asked for.
func (v *view) top() float64 { return v.hz(float64(len(v.s.R) - 1 - taps)) }

func (v *view) scale() float64 { return 2 / (float64(v.s.N) * float64(v.s.N)) }

func square(x complex128) float64 { return real(x)*real(x) + imag(x)*imag(x) }

func (v *view) power(k int) float64 { return v.scale() * square(v.s.R[k]) }

// floorAt is the rough floor at a frequency.
func (v *view) floorAt(hz float64) float64 {
	return v.floor[max(0, min(len(v.floor)-1, int(v.bin(hz)+0.5)))]
}

// medianHz is how far to each side the rough floor looks, and medianBins about how
// many bins it looks at there.
const (
	medianHz   = 30
	medianBins = 240
)

// roughen reads the floor anew: the running median of the bins' powers, which lines
// hardly move, over ln 2, the median of an exponential variable against its mean.
func (v *view) roughen() {
	n := len(v.s.R)
	w := max(8, int(v.bin(medianHz)))
	stride := max(1, 2*w/medianBins)
	v.floor = slices.Grow(v.floor[:0], n)[:n]
	seg := make([]float64, 0, 2*w+1)
	median := func(c int) float64 {
		seg = seg[:0]
		for k := max(1, c-w); k <= min(n-1, c+w); k += stride {
			seg = append(seg, v.power(k))
		}
		slices.Sort(seg)
		return math.Max(least, seg[len(seg)/2]/math.Ln2)
	}
	before := median(0)
	for c := 0; c < n; c += w {
		after := median(min(n-1, c+w))
		ratio, f := math.Pow(after/before, 1/float64(w)), before
		for k := c; k < min(n, c+w); k++ {
			v.floor[k] = f
			f *= ratio
		}
		before = after
	}
}

// taps is how many bins to each side the spectrum between bins is put together from.
const taps = 8

// at is the power of the spectrum at any frequency, as a line's mean square. Between
// bins of a grid of m points the transform is the sum of sin(pi(d-j))/(pi(d-j)) exp(pi i (d-j)) X_(k+j),
// d the distance from bin k; (-1)^j stands in both factors, so the weights are real.
func (v *view) at(hz float64) float64 {
	b := v.bin(hz)
	k := int(math.Floor(b))
	if k < taps || k+taps >= len(v.s.R) {
		return 0
	}
	d := b - float64(k)
	if d < 1e-6 {
		return v.power(k)
	}
	if d > 1-1e-6 {
		return v.power(k + 1)
	}
	var re, im float64
	for j := 1 - taps; j <= taps; j++ {
		x, w := v.s.R[k+j], 1/(d-float64(j))
		re += real(x) * w
		im += imag(x) * w
	}
	g := math.Sin(math.Pi*d) / math.Pi
	return v.scale() * g * g * (re*re + im*im)
}

// grid is what is left of a spectrum at quarters of a bin: power and what it says
// for a weak line of unknown power there.
type grid struct {
	v           *view
	over        []float64 // power less its floor
	favour      []float64
	step        float64 // Hz
	first, last int
}

// quarters fills a grid from 40 Hz to top, 0 where a line was taken out or the test tone stands.
func (v *view) quarters(out []float64) *grid {
	g := &grid{v: v, step: v.hz(0.25), first: int(4 * v.bin(lowest)), last: int(4 * v.bin(v.top()))}
	g.over = make([]float64, g.last+1)
	g.favour = make([]float64, g.last+1)
	for i := g.first; i <= g.last; i++ {
		p, floor := v.at(float64(i)*g.step), v.floor[min(len(v.floor)-1, (i+2)/4)]
		g.over[i], g.favour[i] = p-floor, favour(p/floor)
	}
	for _, hz := range out {
		lo, hi := int(math.Ceil((hz-1.2/v.seconds)/g.step)), int((hz+1.2/v.seconds)/g.step)
		for i := max(g.first, lo); i <= min(g.last, hi); i++ {
			g.over[i], g.favour[i] = 0, 0
		}
	}
	return g
}

func (g *grid) index(hz float64) int { return max(0, min(g.last, int(hz/g.step+0.5))) }

// favour is the logarithm of how much likelier a power of q floors is where one order
// in four has a line than where none has: that line's power being unknown, exponential
// with a mean of five floors, q has the density exp(-q/6)/6 with it and exp(-q) without.
func favour(q float64) float64 {
	i := math.Min(q, favourTop) / favourStep
	k := int(i)
	return favours[k] + (i-float64(k))*(favours[k+1]-favours[k])
}

const (
	favourTop  = 13.0
	favourStep = 0.05
	meanFloors = 5.0
)

// favours is that function as a table: it is asked for thousands of times.
var favours = func() []float64 {
	const share, mean = 0.25, meanFloors
	out := make([]float64, int(favourTop/favourStep)+2)
	for i := range out {
		q := float64(i) * favourStep
		out[i] = math.Log(1 - share + share/(1+mean)*math.Exp(q*mean/(1+mean)))
	}
	return out
}()
