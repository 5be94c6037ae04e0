package simulate

import (
	"math"
	"slices"

	"hisspoint/capture/dft"
)

// Filtering is overlap-save with transforms of blockLen samples at workRate.
// A filter has at most blockLen/4 taps, so every block gives hop new samples
// that are exact linear convolution: a recording has no seams and no edges.
const (
	blockLen = 8192
	hop      = blockLen * 3 / 4
	tapSpan  = blockLen / 4
)

// binHz is the frequency of bin k of a transform of blockLen at workRate.
func binHz(k int) float64 {
	if k > blockLen/2 {
		k -= blockLen
	}
	return float64(k) * workRate / blockLen
}

// limitTaps turns a wished-for response over the bins of blockLen into the
// response of a filter with taps from -before to tapSpan-before: the impulse
// response is multiplied by a window that is flat but for its outer fifth.
func limitTaps(h []complex128, before int) []complex128 {
	after := tapSpan - before
	return shapeTaps(h, func(t int) float64 {
		side := after
		if t < 0 {
			side = before
			t = -t
		}
		edge := float64(side) * 0.8
		if float64(t) <= edge {
			return 1
		}
		if t > side {
			return 0
		}
		return 0.5 + 0.5*math.Cos(math.Pi*(float64(t)-edge)/(float64(side)-edge))
	})
}

// kaiserTaps windows the impulse response to +-tapSpan/2 with a Kaiser
// window (beta 8: side lobes near -80 dB, edges about 60 Hz wide), the way
// to a rectangle that a finite filter can hold.
func kaiserTaps(h []complex128) []complex128 {
	const beta = 8
	half := float64(tapSpan) / 2
	return shapeTaps(h, func(t int) float64 {
		x := float64(t) / half
		if math.Abs(x) > 1 {
			return 0
		}
		return bessel0(beta*math.Sqrt(1-x*x)) / bessel0(beta)
	})
}

func shapeTaps(h []complex128, window func(t int) float64) []complex128 {
	z := dft.InverseComplex(slices.Clone(h))
	for i := range z {
		t := i
		if t > blockLen/2 {
			t -= blockLen
		}
		z[i] *= complex(window(t), 0)
	}
	dft.Complex(z)
	return z
}

// bessel0 is the modified Bessel function of order zero, by its power series.
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= (x / 2 / k) * (x / 2 / k)
		sum += term
	}
	return sum
}

// butterworthPower is |H|^2 of a low-pass of n poles.
func butterworthPower(f, corner float64, n int) float64 {
	return 1 / (1 + math.Pow(f/corner, float64(2*n)))
}

// butterworth is the complex response of an analogue low-pass of n poles at
// s = j f/corner; with s inverted it is the high-pass.
func butterworth(s complex128, n int) complex128 {
	h := complex(1, 0)
	for k := range n {
		a := math.Pi * (0.5 + (float64(k)+0.5)/float64(n))
		pole := complex(math.Cos(a), math.Sin(a))
		h *= -pole / (s - pole)
	}
	return h
}

// guard falls from 1 at 8 kHz to 0 at 11 kHz: it keeps the audio inside
// what workRate holds.
func guard(f float64) float64 {
	const from, to = 8000, 11000
	f = math.Abs(f)
	switch {
	case f <= from:
		return 1
	case f >= to:
		return 0
	}
	return 0.5 + 0.5*math.Cos(math.Pi*(f-from)/(to-from))
}
