package simulate

import (
	"math"
	"sync"
)

// transform is a complex discrete Fourier transform of length 4^p or 2*4^p,
// after Stockham (radix 4, no bit reversal). The library's transform takes
// three to five times as long, and bulk runs are nothing but transforms; the
// tests check this one against the library's.
type transform struct {
	n          int
	stages     []stage
	re, im     []float64 // scratch
	twRe, twIm []float64 // e^(-2 pi i k/n)
}

type stage struct{ radix, n, s int }

func newTransform(n int) *transform {
	tw := twiddlesOf(n)
	t := &transform{n: n, re: make([]float64, n), im: make([]float64, n), twRe: tw.re, twIm: tw.im}
	s := 1
	for m := n; m > 1; {
		radix := 4
		if m == 2 {
			radix = 2
		}
		t.stages = append(t.stages, stage{radix, m, s})
		m /= radix
		s *= radix
	}
	return t
}

// twiddles are e^(-2 pi i k/n), which all transforms of a length share.
type twiddles struct{ re, im []float64 }

var twiddlesKept sync.Map // int -> twiddles; a memory of a pure function

func twiddlesOf(n int) twiddles {
	if w, ok := twiddlesKept.Load(n); ok {
		return w.(twiddles)
	}
	w := twiddles{make([]float64, n), make([]float64, n)}
	for k := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		w.re[k], w.im[k] = cos, -sin
	}
	twiddlesKept.Store(n, w)
	return w
}

// forward transforms in place. The inverse, times n, is the forward
// transform with real and imaginary parts exchanged.
func (t *transform) forward(re, im []float64) {
	ar, ai, br, bi := re, im, t.re, t.im
	for _, st := range t.stages {
		if st.radix == 4 {
			t.radix4(st, ar, ai, br, bi)
		} else {
			radix2(st, ar, ai, br, bi)
		}
		ar, ai, br, bi = br, bi, ar, ai
	}
	if len(t.stages)%2 == 1 {
		copy(re, ar)
		copy(im, ai)
	}
}

func (t *transform) radix4(st stage, ar, ai, br, bi []float64) {
	s, m := st.s, st.n/4
	quarter := s * m
	for p := range m {
		k := p * s
		w1r, w1i := t.twRe[k], t.twIm[k]
		w2r, w2i := t.twRe[2*k], t.twIm[2*k]
		w3r, w3i := t.twRe[3*k], t.twIm[3*k]
		x0r, x0i := ar[k:k+s], ai[k:k+s]
		x1r, x1i := ar[k+quarter:k+quarter+s], ai[k+quarter:k+quarter+s]
		x2r, x2i := ar[k+2*quarter:k+2*quarter+s], ai[k+2*quarter:k+2*quarter+s]
		x3r, x3i := ar[k+3*quarter:k+3*quarter+s], ai[k+3*quarter:k+3*quarter+s]
		o := 4 * k
		y0r, y0i := br[o:o+s], bi[o:o+s]
		y1r, y1i := br[o+s:o+2*s], bi[o+s:o+2*s]
		y2r, y2i := br[o+2*s:o+3*s], bi[o+2*s:o+3*s]
		y3r, y3i := br[o+3*s:o+4*s], bi[o+3*s:o+4*s]
		for q := range s {
			ur, ui := x0r[q]+x2r[q], x0i[q]+x2i[q]
			vr, vi := x0r[q]-x2r[q], x0i[q]-x2i[q]
			wr, wi := x1r[q]+x3r[q], x1i[q]+x3i[q]
			// -j (x1 - x3)
			zr, zi := x1i[q]-x3i[q], x3r[q]-x1r[q]
			y0r[q], y0i[q] = ur+wr, ui+wi
			ar1, ai1 := vr+zr, vi+zi
			y1r[q], y1i[q] = ar1*w1r-ai1*w1i, ar1*w1i+ai1*w1r
			ar2, ai2 := ur-wr, ui-wi
			y2r[q], y2i[q] = ar2*w2r-ai2*w2i, ar2*w2i+ai2*w2r
			ar3, ai3 := vr-zr, vi-zi
			y3r[q], y3i[q] = ar3*w3r-ai3*w3i, ar3*w3i+ai3*w3r
		}
	}
}

func radix2(st stage, ar, ai, br, bi []float64) {
	s := st.s
	for q := range s {
		br[q], bi[q] = ar[q]+ar[q+s], ai[q]+ai[q+s]
		br[q+s], bi[q+s] = ar[q]-ar[q+s], ai[q]-ai[q+s]
	}
}
