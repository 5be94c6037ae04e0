package signal

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Grid is what the tones of a multitone are multiples of, in Hz: the coarser it
// is, the shorter the period and the lower the peak that can be had.
const Grid = 5

// StandardMultitone lists the tones of the multitone that is written and looked
// for unless told otherwise: sixths of an octave from 300 to 3400 Hz, moved to odd
// multiples of 5 Hz. So distortion of even order falls between them, and so do all
// mains lines, which keep 5 Hz away.
func StandardMultitone() []float64 {
	var out []float64
	for _, hz := range StandardSteps(6) {
		out = append(out, Grid*(2*math.Floor(hz/(2*Grid)-1e-9)+1))
	}
	return out
}

// Multitone plays all tones at once, each at the same level; level is that of all
// together. Their phases come from a seeded search for a low peak. Tones are
// whole numbers of Hz.
func Multitone(rate int, tones []float64, level, seconds float64) Signal {
	s := Signal{Name: "multitone", Kind: KindMultitone, Rate: rate, TonesHz: tones,
		About: "many tones at once: the response in a few seconds"}
	phases := LowCrestPhases(tones)
	x := make([]float64, samplesIn(seconds, rate))
	whole := len(x) // samples after which the sum repeats
	if rate%Grid == 0 {
		whole = min(whole, rate/Grid)
	}
	for k, hz := range tones {
		for i := range x[:whole] {
			x[i] += math.Cos(2*math.Pi*math.Mod(hz*float64(i)/float64(rate), 1) + phases[k])
		}
	}
	for i := whole; i < len(x); i++ {
		x[i] = x[i-whole]
	}
	return s.finish(x, level)
}

// How phases are looked for.
const (
	searchSeed   = 0x5eed
	searchStarts = 6
	searchRounds = 250
	firstClip    = 1.2 // times the RMS, at which clipping starts
	lastClip     = 2
)

var standardPhases = sync.OnceValue(func() []float64 { return search(StandardMultitone()) })

// LowCrestPhases finds phases for tones at multiples of 5 Hz, all of one
// amplitude, whose sum of cosines has a low peak. Closed forms such as
// Schroeder's need evenly spaced tones, so it is a search: from random phases the
// sum is clipped again and again, each time a little less, and takes the phases
// that clipping leaves (Van der Ouderaa, Schoukens, Renneboog, IEEE Trans. Instrum.
// Meas. 37, 207, 1988); the best of a few starts. It is seeded, so always the same.
func LowCrestPhases(tones []float64) []float64 {
	if s := StandardMultitone(); same(tones, s) {
		return standardPhases()
	}
	return search(tones)
}

func same(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

func search(tones []float64) []float64 {
	bin := func(k int) int { return int(math.Round(tones[k] / Grid)) }
	n := 256
	for k := range tones {
		for n < 6*bin(k) {
			n *= 2
		}
	}
	f, r := fourier.NewFFT(n), rand.New(rand.NewPCG(searchSeed, uint64(len(tones))))
	coef, x := make([]complex128, n/2+1), make([]float64, n)
	phases, rms := make([]float64, len(tones)), math.Sqrt(float64(len(tones))/2)
	best, least := make([]float64, len(tones)), math.Inf(1)
	for range searchStarts {
		for k := range phases {
			phases[k] = 2 * math.Pi * r.Float64()
		}
		for round := range searchRounds {
			clear(coef)
			for k := range tones {
				coef[bin(k)] = cmplx.Rect(0.5, phases[k])
			}
			x = f.Sequence(x, coef)
			peak := 0.0
			for _, v := range x {
				peak = math.Max(peak, math.Abs(v))
			}
			if peak < least {
				least = peak
				copy(best, phases)
			}
			clip := rms * (firstClip + (lastClip-firstClip)*float64(round)/searchRounds)
			for i, v := range x {
				x[i] = math.Max(-clip, math.Min(clip, v))
			}
			coef = f.Coefficients(coef, x)
			for k := range tones {
				phases[k] = cmplx.Phase(coef[bin(k)])
			}
		}
	}
	return best
}
