package audio

import (
	"math"
	"math/cmplx"
	"slices"
)

// Where a signal that is known is broken: samples lost, doubled or muted. Its phase is
// turned back, so that what remains is slow, and is averaged in Hann windows, half
// overlapping. From one window to the one after the next, which share no sample, its
// logarithm ln(amplitude) + i phase goes on as before; where it does not, it breaks.
const (
	breakSeconds = 0.04 // of a window: two cycles of the lowest frequency that is followed
	breakLeast   = 0.15 // change that is none: 1.3 dB, 9 degrees
	breakTimes   = 7    // times the usual change
	breakMost    = 0.8  // usual change from which on nothing can be told
	besideBreak  = 8    // windows on each side that tell how it goes on; four times as many what is usual
	usualOver    = 1.4  // median over 30 % point of a Rayleigh distribution: much of what is beside may be broken
)

// turnedBack is x with the phase of the signal, in rad, taken out of each sample.
func turnedBack(x []float64, phase func(i int) float64) []complex128 {
	out := make([]complex128, len(x))
	for i, v := range x {
		out[i] = complex(v, 0) * cmplx.Rect(1, -phase(i))
	}
	return out
}

// windows are the means of what was turned back, in windows of n samples, n/2 apart.
func windows(turned []complex128, n int) []complex128 {
	var out []complex128
	for from := 0; from+n <= len(turned); from += n / 2 {
		var sum complex128
		for i, v := range turned[from : from+n] {
			sum += v * complex(0.5-0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n)), 0)
		}
		out = append(out, sum*complex(4/float64(n), 0))
	}
	return out
}

// changes are those of ln(amplitude) + i phase from each window to the one after the next,
// less what is usual around it.
func changes(e []complex128) []complex128 {
	if len(e) < 3 {
		return nil
	}
	d := make([]complex128, len(e)-2)
	for i := range d {
		if e[i] != 0 && e[i+2] != 0 {
			d[i] = cmplx.Log(e[i+2] / e[i])
		} else {
			d[i] = complex(math.Inf(-1), 0)
		}
	}
	out := make([]complex128, len(d))
	for i := range d {
		lo, hi := max(0, i-besideBreak), min(len(d), i+besideBreak+1)
		re, im := make([]float64, 0, hi-lo), make([]float64, 0, hi-lo)
		for _, v := range d[lo:hi] {
			re, im = append(re, real(v)), append(im, math.Remainder(imag(v)-imag(d[i]), 2*math.Pi))
		}
		slices.Sort(re)
		slices.Sort(im)
		out[i] = complex(real(d[i])-re[len(re)/2], -im[len(im)/2])
	}
	return out
}

// breaks tells of each change whether it is one; weak windows hold too little to tell.
func breaks(change []complex128) []bool {
	out := make([]bool, len(change))
	sizes := make([]float64, len(change))
	for i, c := range change {
		sizes[i] = cmplx.Abs(c)
	}
	for i, v := range sizes {
		around := slices.Clone(sizes[max(0, i-4*besideBreak):min(len(sizes), i+4*besideBreak+1)])
		slices.Sort(around)
		usual := usualOver * around[len(around)*3/10]
		out[i] = usual < breakMost && (v > math.Max(breakLeast, breakTimes*usual) || math.IsNaN(v))
	}
	return out
}

// Whole is the stretch of x, in samples, that holds most of a tone without a break; broken
// tells whether there is a break further from both ends than a twelfth of x, where a tone
// swells and dies away, and a Hann window lets pass next to nothing.
func Whole(x []float64, hz, rate float64) (from, to int, broken bool) {
	n := windowOf(math.Max(breakSeconds, 4/hz), rate)
	e := followTone(x, hz, rate, n)
	return most(breaks(changes(e)), powers(nil, e), n, len(x))
}

// WholeOfAll is the same of tones that sound at once, not less than 30 Hz apart. It is a
// break where two of them break, and a tenth of them all.
func WholeOfAll(x []float64, tones []float64, rate float64) (from, to int, broken bool) {
	const seconds = 0.08
	n := windowOf(seconds, rate)
	var votes, power []float64
	for _, hz := range tones {
		e := followTone(x, hz, rate, n)
		power = powers(power, e)
		for i, b := range breaks(changes(e)) {
			if len(votes) <= i {
				votes = append(votes, 0)
			}
			if b {
				votes[i]++
			}
		}
	}
	all := make([]bool, len(votes))
	for i, v := range votes {
		all[i] = v >= math.Max(2, 0.1*float64(len(tones)))
	}
	return most(all, power, n, len(x))
}

func windowOf(seconds, rate float64) int { return max(4, int(seconds*rate)/2*2) }

func followTone(x []float64, hz, rate float64, n int) []complex128 {
	return windows(turnedBack(x, func(i int) float64 { return 2 * math.Pi * math.Mod(hz/rate*float64(i), 1) }), n)
}

// powers adds those of windows to sum.
func powers(sum []float64, e []complex128) []float64 {
	if sum == nil {
		sum = make([]float64, len(e))
	}
	for i, v := range e {
		sum[i] += real(v)*real(v) + imag(v)*imag(v)
	}
	return sum
}

// most is the stretch of so many samples without a break whose windows hold most power,
// and whether a break lies further than a twelfth from both ends. Window i reaches from i n/2
// to i n/2 + n, and change i from window i to window i+2.
func most(broken []bool, power []float64, n, samples int) (from, to int, any bool) {
	start, best := 0, -1.0
	take := func(end int) {
		sum := 0.0
		for i := 2 * start / n; i < min(len(power), 2*end/n-1); i++ {
			sum += power[i]
		}
		if sum > best {
			from, to, best = start, end, sum
		}
	}
	for i, b := range broken {
		if b {
			take(max(start, (2*i+1)*n/4))
			start = (2*i + 5) * n / 4
		}
	}
	take(max(start, samples))
	return min(from, samples), to, from > samples/12 || to < samples-samples/12
}
