// Package dft makes discrete Fourier transforms of long blocks quickly. All rooms may
// use it: those that make signals and those that measure them.
//
// Method. A complex transform of n = n1 n2 points, both near sqrt n, is n2 transforms of
// n1 points, a turn of each value, and n1 transforms of n2 points (Gentleman and Sande,
// Proc. AFIPS 29, 1966; Bailey, J. Supercomputing 4, 1990). Short transforms are taken
// sixteen side by side, so that they stay in the cache, in passes of radix 4, 2, 3 and 5
// that leave nothing to be put in order (Stockham, Proc. AFIPS 28, 1966). A real block of
// 2n points is one complex transform of n points, its even samples as real and its odd
// ones as imaginary parts (Cooley, Lewis and Welch, J. Sound Vib. 12, 1970).
//
// A real block of N points takes about 2.2 N log2 N operations on single numbers. The
// root mean square of the error is at most 4 eps log2 N times that of the result, with
// eps = 2^-53 (the bound's form: Gentleman and Sande; its constant is what the tests
// hold). Lengths that are no product of 2, 3 and 5 are left to gonum's transform.
package dft

import "gonum.org/v1/gonum/dsp/fourier"

// Forward returns the m/2+1 coefficients X_k = sum x_t exp(-2 pi i k t / m) of
// x. The length m of x must be even and at least 2. If dst is large enough it is used.
func Forward(dst []complex128, x []float64) []complex128 {
	m := len(x)
	if cap(dst) < m/2+1 {
		dst = make([]complex128, m/2+1)
	}
	dst = dst[:m/2+1]
	p := planOf(m)
	if p == nil {
		return fourier.NewFFT(m).Coefficients(dst, x)
	}
	p.transform(func(to []complex128, at int) {
		from := x[2*at:][:2*len(to)]
		for i := range to {
			to[i] = complex(from[2*i], from[2*i+1])
		}
	}, func(at int, from []complex128) { copy(dst[at:], from) })
	p.part(dst)
	return dst
}

// Inverse returns the m real values y_t = (1/m) sum Y_k exp(2 pi i k t / m) of
// which coeff holds the m/2+1 coefficients of non-negative frequency; of the first and
// the last the real part counts. m must be even and at least 2.
func Inverse(dst []float64, coeff []complex128, m int) []float64 {
	if cap(dst) < m {
		dst = make([]float64, m)
	}
	dst = dst[:m]
	scale := 1 / float64(m)
	p := planOf(m)
	if p == nil {
		fourier.NewFFT(m).Sequence(dst, coeff[:m/2+1])
		for i := range dst {
			dst[i] *= scale
		}
		return dst
	}
	p.transform(func(to []complex128, at int) { p.join(to, coeff, at) },
		func(at int, from []complex128) {
			to := dst[2*at:][:2*len(from)]
			for i, z := range from {
				to[2*i], to[2*i+1] = imag(z)*scale, real(z)*scale
			}
		})
	return dst
}

// Complex replaces z by its transform, sum z_t exp(-2 pi i k t / n).
func Complex(z []complex128) {
	p := planOf(2 * len(z))
	if p == nil {
		fourier.NewCmplxFFT(len(z)).Coefficients(z, z)
		return
	}
	p.transform(func(to []complex128, at int) { copy(to, z[at:]) },
		func(at int, from []complex128) { copy(z[at:], from) })
}

// InverseComplex replaces z, taken as the coefficients of all frequencies, by its
// inverse transform, (1/n) sum z_k exp(2 pi i k t / n), and returns it.
func InverseComplex(z []complex128) []complex128 {
	scale := 1 / float64(len(z))
	p := planOf(2 * len(z))
	if p == nil {
		fourier.NewCmplxFFT(len(z)).Sequence(z, z)
		for i := range z {
			z[i] *= complex(scale, 0)
		}
		return z
	}
	p.transform(func(to []complex128, at int) {
		for i, v := range z[at:][:len(to)] {
			to[i] = complex(imag(v), real(v)) // a transform of exchanged parts is the inverse, exchanged
		}
	}, func(at int, from []complex128) {
		to := z[at:][:len(from)]
		for i, v := range from {
			to[i] = complex(imag(v)*scale, real(v)*scale)
		}
	})
	return z
}
