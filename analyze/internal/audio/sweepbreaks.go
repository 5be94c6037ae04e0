package audio

import (
	"math"
	"math/cmplx"
	"slices"

	"hisspoint/capture/dft"
)

// Where a sweep breaks. Filters and echoes change it as fast as a break does, but only
// a break splashes: at each moment what passes through a set lies at the sweep's own
// frequency of a few milliseconds ago, and a jump puts power beside it.
const (
	splashFrom  = 5    // bins beside the sweep, of two windows' length, from which its own lobe is gone
	splashTo    = 24   // bins, or as far below the harmonic
	splashTimes = 4    // times what is usual around it
	splashLeast = 1e-5 // of the sweep's power
	leastHeard  = 0.03 // of the loudest amplitude: below it the set passes too little to matter
	leastDelay  = 0.004
	besideDelay = 6   // windows on each side that tell the delay
	steadyLevel = 0.1 // of ln(amplitude), in which a filter does not delay by that much
)

// breaks are where the sweep that begins at sample start of x breaks, in s from the start
// of x: where it jumps and splashes, or where what follows comes earlier or later than
// what was before, by whole cycles.
func (s Sweep) breaks(x []float64, start, rate float64) (at []float64) {
	l, n := s.l(), windowOf(breakSeconds, rate)
	from, to := max(0, int(start)), min(len(x), int(start+s.Seconds*rate))
	if to-from < n {
		return nil
	}
	time := func(i int) float64 { return (float64(from+i) - start) / rate }
	turned := turnedBack(x[from:to], func(i int) float64 {
		return 2 * math.Pi * math.Mod(s.LowHz*l*math.Expm1(time(i)/l), 1)
	})
	hz := func(window int) float64 { return s.LowHz * math.Exp(time(window*n/2+n/2)/l) }
	e := windows(turned, n)
	splashes, level := s.splashes(turned, n, rate, hz)
	jumps := breaks(changes(e))
	least := 0.0
	for _, v := range e {
		least = math.Max(least, cmplx.Abs(v)*leastHeard)
	}
	last := -besideDelay
	for i := range jumps {
		if cmplx.Abs(e[i])+cmplx.Abs(e[i+2]) < least || !(jumps[i] && (splashes[i] || splashes[i+1] || splashes[i+2]) && returns(level[max(0, i-2):])) && !delayed(e, i, 2*math.Pi*float64(n)/rate*hz(i+1)/l) {
			continue
		}
		if i >= last+besideDelay {
			at = append(at, float64(from+(i+2)*n/2)/rate)
		}
		last = i
	}
	return at
}

// returns tells whether the first power comes back within a second, past the break beside
// it. Where a filter ends it splashes as well, as it rings on when the sweep has gone.
func returns(level []float64) bool {
	for _, v := range level[min(5, len(level)):min(int(2/breakSeconds), len(level))] {
		if r := v / level[0]; r > 0.4 && r < 2.5 {
			return true
		}
	}
	return false
}

// splashes tells of each window of n samples whether there is more beside the sweep than
// around it; level is the power of both.
func (s Sweep) splashes(turned []complex128, n int, rate float64, hz func(window int) float64) (out []bool, level []float64) {
	count, m := max(0, (len(turned)-n)/(n/2)+1), 2*n
	beside, sweep := make([]float64, count), make([]float64, count)
	re, im := make([]float64, m), make([]float64, m)
	for k := range count {
		clear(re)
		clear(im)
		for i, from := 0, (k-1)*n/2; i < m; i++ {
			if from+i >= 0 && from+i < len(turned) {
				w, v := blackmanHarris(i, m), turned[from+i]
				re[i], im[i] = w*real(v), w*imag(v)
			}
		}
		a, b := dft.Forward(nil, re), dft.Forward(nil, im)
		power := func(bin int) float64 { // of the complex transform at +-bin
			up, down := a[bin]+1i*b[bin], cmplx.Conj(a[bin])+1i*cmplx.Conj(b[bin])
			return real(up)*real(up) + imag(up)*imag(up) + real(down)*real(down) + imag(down)*imag(down)
		}
		top := min(splashTo, int(hz(k)*float64(m)/rate)-splashFrom)
		for bin := range splashFrom {
			sweep[k] += power(bin)
		}
		for bin := splashFrom; bin <= min(top, len(a)-1); bin++ {
			beside[k] += power(bin)
		}
	}
	out, level = make([]bool, count), make([]float64, count)
	for k := range out {
		level[k] = beside[k] + sweep[k]
		around := slices.Clone(beside[max(0, k-2*besideBreak):min(count, k+2*besideBreak+1)])
		slices.Sort(around)
		loud := slices.Max(sweep[max(0, k-besideBreak):min(count, k+besideBreak+1)])
		out[k] = beside[k] > math.Max(splashTimes*usualOver*around[len(around)*3/10], splashLeast*loud)
	}
	return out, level
}

// blackmanHarris is the 4-term window whose lobes beside the first lie 92 dB down (Harris,
// Proc. IEEE 66, 51, 1978).
func blackmanHarris(i, n int) float64 {
	t := 2 * math.Pi * (float64(i) + 0.5) / float64(n)
	return 0.35875 - 0.48829*math.Cos(t) + 0.14128*math.Cos(2*t) - 0.01168*math.Cos(3*t)
}

// delayed tells whether the phase turns otherwise behind windows i to i+2 than before them,
// by more than a change of leastDelay does, at the same level; perSecond is how much a
// delay of 1 s turns it from a window to the one after the next, rad.
func delayed(e []complex128, i int, perSecond float64) bool {
	const n = besideDelay
	if i < n || i+2+n >= len(e) {
		return false
	}
	turns := func(from int) (middle, scatter, level float64) {
		var sum complex128
		for k := from; k < from+n-2; k++ {
			d := e[k+2] * cmplx.Conj(e[k])
			sum += d / complex(cmplx.Abs(d)+1e-300, 0)
			level += math.Log(cmplx.Abs(d)+1e-300) / 2 / (n - 2)
		}
		for k := from; k < from+n-2; k++ {
			scatter = math.Max(scatter, math.Abs(cmplx.Phase(e[k+2]*cmplx.Conj(e[k])*cmplx.Conj(sum))))
		}
		return cmplx.Phase(sum), scatter, level
	}
	before, b, was := turns(i - n + 1)
	after, a, is := turns(i + 2)
	step := math.Abs(math.Remainder(after-before, 2*math.Pi))
	return math.Abs(is-was) < steadyLevel && step > math.Max(2*math.Max(a, b), math.Max(breakLeast, leastDelay*perSecond))
}
