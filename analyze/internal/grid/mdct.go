package grid

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// mdct is a lapped transform of n coefficients from 2n samples:
//
//	X_k = sqrt(2/n) sum_i w_i x_i cos(pi/n (i + 1/2 + n/2) (k + 1/2))
//
// (ISO/IEC 14496-3, 4.6.11; Vorbis I, 4.3.7), scaled so that white noise keeps its
// variance. It is a fold of the four quarters a, b, c, d into (-c_r-d, a-b_r) and a
// DCT-IV, which in turn is a complex transform of n/2 points between two rotations
// (H. S. Malvar, Signal Processing with Lapped Transforms, 1992, from memory).
type mdct struct {
	n      int
	window []float64 // 2n
	turn   []complex128
	fft    *fourier.CmplxFFT
	folded []float64
	z      []complex128
	out    []float64
}

// newMDCT has n coefficients, n a multiple of 4, and a window that is zero over
// zero samples, rises over slope, and falls alike.
func newMDCT(n, zero, slope int) *mdct {
	m := &mdct{n: n, fft: fourier.NewCmplxFFT(n / 2), folded: make([]float64, n), z: make([]complex128, n/2), out: make([]float64, n)}
	m.window = make([]float64, 2*n)
	for i := range n {
		m.window[i] = rising(i-zero, slope)
		m.window[2*n-1-i] = m.window[i]
	}
	for i := range n / 2 {
		s, c := math.Sincos(-math.Pi * (float64(i) + 0.125) / float64(n))
		m.turn = append(m.turn, complex(c, s))
	}
	return m
}

// rising is the power-complementary slope sin(pi/2 sin^2(pi (i+1/2) / 2n)) of Vorbis
// (Vorbis I, 4.3.1), which CELT shares (RFC 6716, 4.3.7).
func rising(i, n int) float64 {
	switch {
	case i < 0:
		return 0
	case i >= n:
		return 1
	}
	s := math.Sin(math.Pi * (float64(i) + 0.5) / float64(2*n))
	return math.Sin(math.Pi / 2 * s * s)
}

func (m *mdct) hop() int { return m.n }

func (m *mdct) span() int { return 2 * m.n }

// frame gives the coefficients of the 2n samples of x, until the next call.
func (m *mdct) frame(x []float64) []float64 {
	n, h := m.n, m.n/2
	w, u := m.window[:2*n], m.folded
	x = x[:2*n]
	for i := range h {
		u[i] = -w[3*h-1-i]*x[3*h-1-i] - w[3*h+i]*x[3*h+i]
		u[h+i] = w[i]*x[i] - w[n-1-i]*x[n-1-i]
	}
	for i := range m.z {
		m.z[i] = complex(u[2*i], u[n-1-2*i]) * m.turn[i]
	}
	m.z = m.fft.Coefficients(m.z, m.z)
	scale := complex(math.Sqrt(2/float64(n)), 0)
	for k, v := range m.z {
		v *= m.turn[k] * scale
		m.out[2*k], m.out[n-1-2*k] = real(v), -imag(v)
	}
	return m.out
}
