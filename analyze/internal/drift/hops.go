package drift

import (
	"math"
	"math/cmplx"
	"slices"
)

const (
	hopSeconds = 0.01
	hannCycles = 8       // of the tone, that a hop's window holds at least
	longRun    = 4.0 / 3 // 1 + 2/6: what the overlap of Hann hops adds to the variance of a mean of many
	onShare    = 0.6     // of the median amplitude, above which the tone is on
	edge       = 4       // hops that may be missing at the ends
	bridged    = 2       // hops that a slip of half a cycle empties
	leastHops  = 13
	mostSigma  = 0.35 // rad: phases that scatter more cannot be unwrapped
)

// hops are the tone turned back by its path, averaged in windows of 20 ms every 10 ms.
type hops struct {
	seconds float64      // of the whole sound
	rate    float64      // hops a second
	y       []complex128 // amplitude and phase against turn
	turn    []float64    // phase of the path, rad
	u       []float64    // time, from -1 at the first sample to 1 at the last
	phase   []float64    // unwrapped, with the path's
	level   []float64    // dB
	amp     float64      // median amplitude
	sigma   float64      // scatter of the phase of one hop, rad
	scatter float64      // of the level of one hop, dB
}

// envelope is false unless the tone runs from end to end.
func envelope(s Sound, p *path) (*hops, bool) {
	h := &hops{seconds: float64(len(s.X)) / s.Rate}
	hz := p.smooth()
	strength := h.turnBack(s, p.at, hz, p.strength)
	from, to, ok := h.whole(strength)
	if !ok || to-from < leastHops {
		return nil, false
	}
	h.y, h.turn, h.u = h.y[from:to], h.turn[from:to], h.u[from:to]
	last := 0.0
	for i, y := range h.y {
		v := cmplx.Phase(y)
		if i > 0 {
			v = last + wrap(v-last)
		}
		last = v
		h.phase = append(h.phase, v+h.turn[i])
		h.level = append(h.level, 20*math.Log10(math.Max(cmplx.Abs(y), 1e-12)))
	}
	r := solveFor(basisOf(h.u, mostOrder(h.seconds)), nil, h.phase).rest
	h.sigma = math.Max(1e-6, lagScatter(r))
	h.scatter = lagScatter(h.level)
	return h, h.sigma < mostSigma
}

// smooth is the frequency of each window, median of three; windows without the tone have
// that between their neighbours.
func (p *path) smooth() []float64 {
	hz := slices.Clone(p.hz)
	last := -1
	for i := range hz {
		if p.strength[i] < present && i+1 < len(hz) {
			continue
		}
		if p.strength[i] < present {
			if last >= 0 {
				for j := last + 1; j <= i; j++ {
					hz[j] = hz[last]
				}
			}
			break
		}
		for j := last + 1; j < i; j++ {
			if last < 0 {
				hz[j] = hz[i]
				continue
			}
			hz[j] = hz[last] + (hz[i]-hz[last])*float64(j-last)/float64(i-last)
		}
		last = i
	}
	out := slices.Clone(hz)
	for i := 1; i+1 < len(hz); i++ {
		out[i] = median(hz[i-1 : i+2])
	}
	return out
}

// turnBack fills y, turn and u, and returns the strength of the line at each hop.
func (h *hops) turnBack(s Sound, at, hz, strength []float64) []float64 {
	window := math.Max(2*hopSeconds, hannCycles/median(hz))
	length := max(4, int(math.Round(window*s.Rate)))
	hop := max(1, int(math.Round(window/2*s.Rate)))
	h.rate = s.Rate / float64(hop)
	n := len(s.X)
	back, turns := make([]complex128, n), make([]float64, n+1)
	cycles, k := 0.0, 0
	for t, x := range s.X {
		turns[t] = cycles
		sn, cs := math.Sincos(-2 * math.Pi * (cycles - math.Floor(cycles)))
		back[t] = complex((x-s.Offset)*cs, (x-s.Offset)*sn)
		f, next := between(at, hz, float64(t)/s.Rate, k)
		k = next
		cycles += f / s.Rate
	}
	turns[n] = cycles
	w, sum := hannOf(length)
	var found []float64
	k = 0
	for from := 0; from+length <= n; from += hop {
		var y complex128
		for t, v := range back[from : from+length] {
			y += complex(w[t]*real(v), w[t]*imag(v))
		}
		mid := from + (length-1)/2
		turn := turns[mid]
		if length%2 == 0 {
			turn = (turn + turns[mid+1]) / 2
		}
		middle := float64(from) + float64(length-1)/2
		h.y = append(h.y, y*complex(2/sum, 0))
		h.turn = append(h.turn, 2*math.Pi*turn)
		h.u = append(h.u, 2*middle/float64(n)-1)
		v, next := between(at, strength, middle/s.Rate, k)
		k = next
		found = append(found, v)
	}
	return found
}

// between interpolates y over x at a place that lies in or behind piece k.
func between(x, y []float64, at float64, k int) (float64, int) {
	for k+1 < len(x) && x[k+1] <= at {
		k++
	}
	if at <= x[0] || k+1 == len(x) {
		return y[k], k
	}
	return y[k] + (y[k+1]-y[k])*(at-x[k])/(x[k+1]-x[k]), k
}

// whole returns the one stretch in which the tone is on; false if it is not on nearly
// from end to end.
func (h *hops) whole(strength []float64) (from, to int, ok bool) {
	n := len(h.y)
	size := make([]float64, n)
	var on []float64
	for i, y := range h.y {
		size[i] = cmplx.Abs(y)
		if strength[i] > present {
			on = append(on, size[i])
		}
	}
	if len(on) == 0 {
		return 0, 0, false
	}
	h.amp = median(on)
	last := -1
	for i := range size {
		if medianOf5(size, i) <= onShare*h.amp || strength[i] <= present/2 {
			continue
		}
		switch {
		case last < 0 && i > edge, last >= 0 && i-last-1 > bridged:
			return 0, 0, false
		case last < 0:
			from = i
		}
		last = i
	}
	return from, last + 1, last >= n-1-edge
}

// levelSteady tells whether the level scatters as noise makes it, or by less than 0.3 dB. Both
// scatters are medians of n hops, which are known to some 1.3 / sqrt n.
func (h *hops) levelSteady() bool {
	m := median(h.level)
	away := make([]float64, len(h.level))
	for i, v := range h.level {
		away[i] = math.Abs(v - m)
	}
	return 1.4826*median(away) <= math.Hypot((1.2+4/math.Sqrt(float64(len(away))))*h.scatter, 0.3)
}

// lagScatter is the scatter that the differences of values two apart show: hops two
// apart share no noise, and neither steps nor slow courses move it.
func lagScatter(r []float64) float64 {
	if len(r) < 3 {
		return 0
	}
	d := make([]float64, len(r)-2)
	for i := range d {
		d[i] = r[i+2] - r[i]
	}
	m := median(d)
	for i := range d {
		d[i] = math.Abs(d[i] - m)
	}
	return 1.4826 * median(d) / math.Sqrt2
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	s := slices.Clone(x)
	slices.Sort(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// medianOf5 is the median of the five values around place i; the ends are repeated.
func medianOf5(x []float64, i int) float64 {
	var w [5]float64
	for j := range w {
		w[j] = x[max(0, min(len(x)-1, i+j-2))]
	}
	slices.Sort(w[:])
	return w[2]
}
