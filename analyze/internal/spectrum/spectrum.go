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

// A plan of a long transform takes as long to make as to use, so plans are kept:
// those of the last few lengths, one for each that was in use at a time.
const keptLengths = 8

type shelf[T any] struct {
	mu    sync.Mutex
	plans map[int][]T
}

func (s *shelf[T]) take(n int, make func(int) T) T {
	s.mu.Lock()
	if p := s.plans[n]; len(p) > 0 {
		last := p[len(p)-1]
		s.plans[n] = p[:len(p)-1]
		s.mu.Unlock()
		return last
	}
	s.mu.Unlock()
	return make(n)
}

func (s *shelf[T]) put(n int, p T) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if _, known := s.plans[n]; !known && len(s.plans) >= keptLengths || s.plans == nil {
		s.plans = map[int][]T{}
	}
	s.plans[n] = append(s.plans[n], p)
}

var (
	realPlans    shelf[*fourier.FFT]
	complexPlans shelf[*fourier.CmplxFFT]
)

// Forward returns the m/2+1 coefficients X_k = sum x_t exp(-2 pi i k t / m) of
// x. The length m of x must be even and at least 2. If dst is large enough it is used.
func Forward(dst []complex128, x []float64) []complex128 {
	m := len(x)
	f := realPlans.take(m, fourier.NewFFT)
	defer realPlans.put(m, f)
	if cap(dst) < m/2+1 {
		dst = make([]complex128, m/2+1)
	}
	return f.Coefficients(dst[:m/2+1], x)
}

// Inverse returns the m real values y_t = (1/m) sum Y_k exp(2 pi i k t / m) of
// which coeff holds the m/2+1 coefficients of non-negative frequency.
func Inverse(dst []float64, coeff []complex128, m int) []float64 {
	f := realPlans.take(m, fourier.NewFFT)
	defer realPlans.put(m, f)
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

// InverseComplex replaces z, taken as the coefficients of all frequencies, by
// its inverse transform (with the factor 1/len).
func InverseComplex(z []complex128) []complex128 {
	m := len(z)
	f := complexPlans.take(m, fourier.NewCmplxFFT)
	defer complexPlans.put(m, f)
	out := f.Sequence(nil, z)
	s := complex(1/float64(m), 0)
	for i := range out {
		out[i] *= s
	}
	return out
}
