package audio

import (
	"math"
	"math/cmplx"

	"hisspoint/capture/dft"
)

// Thinned is a sound at another, lower rate: the mean of the samples around each
// instant. What is compared is thinned alike.
func Thinned(x []float64, from, to float64) []float64 {
	out := make([]float64, int(float64(len(x))*to/from))
	for i := range out {
		a, b := int(float64(i)*from/to), int(float64(i+1)*from/to)
		sum := 0.0
		for _, v := range x[a:min(len(x), max(b, a+1))] {
			sum += v
		}
		out[i] = sum / math.Max(1, float64(b-a))
	}
	return out
}

// Fitting finds where a piece fits into a sound: the lag at which the magnitude of
// their correlation, that of the analytic signal, is largest, and the share of the
// sound there that it explains, as a correlation coefficient.
func Fitting(x, piece []float64) (lag int, like float64) {
	n := dft.Smooth(len(x) + len(piece))
	spectrum := func(v []float64) []complex128 {
		padded := make([]float64, n)
		copy(padded, v)
		return dft.Forward(nil, padded)
	}
	a, b := spectrum(x), spectrum(piece)
	whole := make([]complex128, n)
	for i := 1; i < n/2; i++ { // the positive half only: its transform is the analytic correlation
		whole[i] = 2 * a[i] * cmplx.Conj(b[i])
	}
	c := dft.InverseComplex(whole)
	best := 0.0
	for k := range max(1, len(x)-len(piece)+1) {
		if m := cmplx.Abs(c[k]); m > best {
			lag, best = k, m
		}
	}
	energy := func(v []float64) (sum float64) {
		for _, y := range v {
			sum += y * y
		}
		return sum
	}
	scale := math.Sqrt(energy(piece) * energy(x[lag:min(len(x), lag+len(piece))]))
	if scale == 0 {
		return lag, 0
	}
	return lag, best / scale
}
