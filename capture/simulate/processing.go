package simulate

import (
	"math"

	"hisspoint/capture/dft"
)

// What operating systems do to a microphone input unless told not to. Each
// function returns a changed copy. They are textbook forms, not the code of
// any system, so that what they do to a steady tone in noise is known.

// SubtractNoise is noise suppression by spectral subtraction with a learned
// noise floor (Boll 1979): in frames of 32 ms that overlap by half, each bin
// keeps a running mean of its power, which learnSeconds says how fast it follows;
// the bin's gain is sqrt(1 - over * floor / power), no less than minGainDB. The
// floor starts at nothing, so the hiss sinks while it is learned.
func SubtractNoise(x []float64, rate int, learnSeconds, minGainDB float64) []float64 {
	const over = 2
	n := 1
	for n < int(0.032*float64(rate)) {
		n *= 2
	}
	floor := make([]float64, n/2+1)
	follow := 1 - math.Exp(-float64(n/2)/float64(rate)/learnSeconds)
	least := math.Pow(10, minGainDB/20)
	window, z := make([]float64, n), make([]complex128, n)
	for i := range window { // squared and overlapped by half it adds up to 1
		window[i] = math.Sin(math.Pi * (float64(i) + 0.5) / float64(n))
	}
	out := make([]float64, len(x))
	for at := -n / 2; at < len(x); at += n / 2 {
		for i := range n {
			z[i] = 0
			if k := at + i; k >= 0 && k < len(x) {
				z[i] = complex(x[k]*window[i], 0)
			}
		}
		dft.Complex(z)
		for k := range floor {
			p := real(z[k])*real(z[k]) + imag(z[k])*imag(z[k])
			// A bin far above its neighbours' floor is speech to the suppressor and teaches it little.
			if floor[k] == 0 || p < 50*floor[k] || at < int(learnSeconds*float64(rate)) {
				floor[k] += follow * (p - floor[k])
			}
			g := complex(math.Sqrt(math.Max(least*least, 1-over*floor[k]/(p+1e-30))), 0)
			z[k] *= g
			if k > 0 && k < n/2 {
				z[n-k] *= g
			}
		}
		dft.InverseComplex(z)
		for i := range n {
			if k := at + i; k >= 0 && k < len(x) {
				out[k] += real(z[i]) * window[i]
			}
		}
	}
	return out
}

// AutoGain is a slow automatic gain: it follows the sound's level with one time
// constant and moves its gain, which starts at 1, to bring it to target (RMS).
func AutoGain(x []float64, rate int, seconds, target float64) []float64 {
	level, gain := 0.0, 1.0
	quick, slow := 1/(0.05*float64(rate)), 1/(seconds*float64(rate))
	out := make([]float64, len(x))
	for i, v := range x {
		level += quick * (v*v - level)
		if level > 0 && i > int(0.1*float64(rate)) {
			gain += slow * (math.Min(30, target/math.Sqrt(level)) - gain)
		}
		out[i] = gain * v
	}
	return out
}

// Gate shuts while the sound, followed over 10 ms, stays below threshold (RMS): it
// lets shutDB of it through, and opens and shuts within some 20 ms.
func Gate(x []float64, rate int, threshold, shutDB float64) []float64 {
	level, gain := 0.0, 1.0
	quick, move := 1/(0.01*float64(rate)), 1/(0.02*float64(rate))
	shut := math.Pow(10, shutDB/20)
	out := make([]float64, len(x))
	for i, v := range x {
		level += quick * (v*v - level)
		goal := 1.0
		if level < threshold*threshold {
			goal = shut
		}
		gain += move * (goal - gain)
		out[i] = gain * v
	}
	return out
}

// CancelEcho is an acoustic echo canceller that hears what the system plays, where
// the input is played as well (a microphone that is listened to): an adaptive
// filter of 8 ms (normalised least mean squares: Nagumo and Noda 1967) predicts the
// input from what was played delaySeconds before, and takes that away. A steady
// tone can be predicted however late it is heard, hiss cannot: the tone sinks into it
// with the time constant seconds, and what is left of it stays.
func CancelEcho(x []float64, rate int, delaySeconds, seconds float64) []float64 {
	const taps = 0.008
	n, late := int(taps*float64(rate)), int(delaySeconds*float64(rate))
	step := 2 / (seconds * float64(rate))
	w, out := make([]float64, n), make([]float64, len(x))
	power := 0.0
	for i, v := range x {
		out[i] = v
		// Played are samples i-late, i-late-1, ...
		newest := i - late
		if newest < 0 {
			continue
		}
		power += x[newest] * x[newest]
		if newest < n {
			continue
		}
		power -= x[newest-n] * x[newest-n]
		heard := x[newest-n+1 : newest+1]
		guess := 0.0
		for k, h := range heard {
			guess += w[k] * h
		}
		out[i] = v - guess
		by := step * out[i] / (power + 1e-9)
		for k, h := range heard {
			w[k] += by * h
		}
	}
	return out
}
