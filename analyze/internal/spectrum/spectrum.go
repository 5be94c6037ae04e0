// Package spectrum makes discrete Fourier transforms of real blocks whose
// length is always a product of 2, 3 and 5, and keeps the plans.
package spectrum

import (
	"math/bits"
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Smooth returns the smallest product of 2, 3 and 5 that is at least n and
// even. A transform of such a length costs n log n; one with a large prime
// factor costs n squared.
func Smooth(n int) int {
	if n <= 2 {
		return 2
	}
	best := 1 << bits.Len(uint(n-1))
	for five := 2; five < best; five *= 5 {
		for three := five; three < best; three *= 3 {
			m := three
			if m < n {
				m <<= bits.Len(uint((n - 1) / m))
			}
			if m >= n && m < best {
				best = m
			}
		}
	}
	return best
}

var plans sync.Map // length -> *sync.Pool of *fourier.FFT

func plan(m int) (*fourier.FFT, *sync.Pool) {
	p, ok := plans.Load(m)
	if !ok {
		p, _ = plans.LoadOrStore(m, &sync.Pool{New: func() any { return fourier.NewFFT(m) }})
	}
	pool := p.(*sync.Pool)
	return pool.Get().(*fourier.FFT), pool
}

// Forward returns the m/2+1 coefficients X_k = sum x_t exp(-2 pi i k t / m) of
// x. The length m of x must be even and at least 2. If dst is large enough it is used.
func Forward(dst []complex128, x []float64) []complex128 {
	m := len(x)
	f, pool := plan(m)
	defer pool.Put(f)
	if cap(dst) < m/2+1 {
		dst = make([]complex128, m/2+1)
	}
	return f.Coefficients(dst[:m/2+1], x)
}

// Inverse returns the m real values y_t = (1/m) sum Y_k exp(2 pi i k t / m) of
// which coeff holds the m/2+1 coefficients of non-negative frequency.
func Inverse(dst []float64, coeff []complex128, m int) []float64 {
	f, pool := plan(m)
	defer pool.Put(f)
	if cap(dst) < m {
		dst = make([]float64, m)
	}
	dst = f.Sequence(dst[:m], coeff[:m/2+1])
	s := 1 / float64(m)
	for i := range dst {
		dst[i] *= s
	}
	return dst
}

var complexPlans sync.Map // length -> *sync.Pool of *fourier.CmplxFFT

// InverseComplex replaces z, taken as the coefficients of all frequencies, by
// its inverse transform (with the factor 1/len).
func InverseComplex(z []complex128) []complex128 {
	m := len(z)
	p, ok := complexPlans.Load(m)
	if !ok {
		p, _ = complexPlans.LoadOrStore(m, &sync.Pool{New: func() any { return fourier.NewCmplxFFT(m) }})
	}
	pool := p.(*sync.Pool)
	f := pool.Get().(*fourier.CmplxFFT)
	defer pool.Put(f)
	out := f.Sequence(nil, z)
	s := complex(1/float64(m), 0)
	for i := range out {
		out[i] *= s
	}
	return out
}
