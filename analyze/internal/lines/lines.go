// Package lines fits and removes spectral lines (tone, harmonics, hum, offset)
// in the discrete Fourier transform of a block.
//
// A real line of n samples, c exp(2 pi i v t) + its conjugate, has the exact
// transform c E_k(v) + conj(c) E_k(-v) on an m-point grid, where
//
//	E_k(v) = sum_{t=0}^{n-1} exp(2 pi i (v - k/m) t) = (1 - u) / (1 - w),
//	u = exp(2 pi i (v - k/m) n),  w = exp(2 pi i (v - k/m)).
//
// So no window is needed and no whole number of cycles: the fit is least
// squares on the bins around the line, and the line leaves nothing behind. With
// Reach bins on each side it keeps all but 2/(pi^2 Reach) of the line's energy,
// and all but 6/(pi^2 Reach) of what the record knows of its frequency, which
// is the four-parameter least-squares fit of IEEE 1057 to within that.
package lines

import (
	"math"
	"math/cmplx"
)

// Reach is how many bins on each side of a line take part in its fit.
const Reach = 240

// Spectrum is the transform of n samples, zero-padded to m, from bin 0 up to
// the last bin in use. Lines are taken out of R; it starts as the transform itself.
type Spectrum struct {
	R    []complex128 // bins 0 .. len-1
	N, M int
	grid *grid
}

// Line is c exp(2 pi i v t) + conj(c) exp(-2 pi i v t): V in cycles a sample,
// amplitude 2|C|. A line with V = 0 is an offset of 2 Re C.
type Line struct {
	V float64
	C complex128
}

// Amplitude is the peak value of the line.
func (l Line) Amplitude() float64 { return 2 * cmplx.Abs(l.C) }

// Power is the mean square of the line.
func (l Line) Power() float64 { return 2 * (real(l.C)*real(l.C) + imag(l.C)*imag(l.C)) }

func (s *Spectrum) window(v float64) (lo, hi int) {
	k := int(math.Round(v * float64(s.M)))
	reach := Reach * s.M / s.N
	return max(0, k-reach), min(len(s.R)-1, k+reach)
}

// Fit finds the line at the fixed frequency v without taking it out: the
// least-squares fit on the bins around v, repeated until the line's image at -v
// no longer moves it.
func (s *Spectrum) Fit(v float64) Line {
	l := Line{V: v}
	lo, hi := s.window(v)
	if hi < lo {
		return l
	}
	own := append([]complex128(nil), s.R[lo:hi+1]...)
	e := make([]complex128, len(own))
	s.kernels(e, v, lo)
	for range 3 {
		d, _ := project(own, e)
		if v == 0 {
			d = complex(real(d)/2, 0)
		}
		if d == 0 {
			break
		}
		l.C += d
		s.addPart(own, lo, Line{V: v, C: -d})
		if cmplx.Abs(d) < 1e-9*cmplx.Abs(l.C) {
			break
		}
	}
	return l
}

// FitNear finds the line whose frequency near v explains most, without taking
// it out. The search goes one bin of the unpadded transform to each side.
func (s *Spectrum) FitNear(v float64) Line { return s.fitNear(Line{V: v}, Line{}) }

// Refit fits a line that was taken out again, now that other lines are gone
// too; it stays out as it was.
func (s *Spectrum) Refit(l Line) Line { return s.fitNear(l, l) }

// Remove takes a line out of R, out to where it is weaker than a millionth of
// floor, the mean square that noise alone gives a fitted line, in every bin.
func (s *Spectrum) Remove(l Line, floor float64) {
	if l.C == 0 {
		return
	}
	l.C = -l.C
	reach := 2 * s.M // past every bin, from the line and from its image
	if d := 1000 / math.Pi * math.Sqrt(l.Power()/floor) * float64(s.M) / float64(s.N); d < float64(reach) {
		reach = min(reach, int(d)+2*Reach)
	}
	centre := int(math.Round(l.V * float64(s.M)))
	if lo, hi := s.clamp(centre-reach, centre+reach+1); lo < hi {
		s.addPart(s.R[lo:hi], lo, l)
	}
}

// clamp limits a range of bins to those in use.
func (s *Spectrum) clamp(lo, hi int) (int, int) {
	return min(len(s.R), max(0, lo)), min(len(s.R), max(0, hi))
}

// Part copies bins lo to hi of R with a line put back (or, with its
// coefficient negative, taken out).
func (s *Spectrum) Part(lo, hi int, l Line) []complex128 {
	out := append([]complex128(nil), s.R[lo:hi+1]...)
	s.addPart(out, lo, l)
	return out
}

// AddTo adds a line to bins of which the first is bin lo.
func (s *Spectrum) AddTo(part []complex128, lo int, l Line) { s.addPart(part, lo, l) }

// Density is the one-sided power density around a line that has not been taken
// out, in units of mean square a (cycle a sample): the mean of what is left
// without it over up to span cycles a sample on each side, leaving out the bins
// closer than gap bins. bins tells how many of the grid it rests on.
func (s *Spectrum) Density(l Line, span float64, gap int) (density float64, bins int) {
	centre := l.V * float64(s.M)
	lo := max(1, int(math.Ceil(centre-span*float64(s.M))))
	hi := min(len(s.R)-1, int(math.Floor(centre+span*float64(s.M))))
	if hi < lo {
		return 0, 0
	}
	sum := 0.0
	for i, x := range s.Part(lo, hi, Line{V: l.V, C: -l.C}) {
		if math.Abs(float64(lo+i)-centre) < float64(gap) {
			continue
		}
		sum += real(x)*real(x) + imag(x)*imag(x)
		bins++
	}
	if bins == 0 {
		return 0, 0
	}
	return 2 * sum / float64(bins) / float64(s.N), bins
}
