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

// kernel is E_k(v), exact also where v is on the bin.
func (s *Spectrum) kernel(v float64, k int) complex128 {
	th := v - float64(k)/float64(s.M)
	th -= math.Round(th)
	n := float64(s.N)
	sd := math.Sin(math.Pi * th)
	if math.Abs(sd) < 1e-14 {
		return complex(n, 0)
	}
	// The phase pi th (n-1) is reduced through th n, which is small near the line.
	sn, cs := math.Sincos(math.Pi * th * (n - 1))
	mag := math.Sin(math.Pi*th*n) / sd
	return complex(mag*cs, mag*sn)
}

func (s *Spectrum) window(v float64) (lo, hi int) {
	k := int(math.Round(v * float64(s.M)))
	reach := Reach * s.M / s.N
	return max(0, k-reach), min(len(s.R)-1, k+reach)
}

// project returns the least-squares coefficient of E(v) on the bins around v
// and how much energy it explains there.
func (s *Spectrum) project(r []complex128, lo int, v float64) (c complex128, energy float64) {
	var num complex128
	var den float64
	e := s.stepper(v, lo)
	for _, x := range r {
		k := e.next()
		num += x * cmplx.Conj(k)
		den += real(k)*real(k) + imag(k)*imag(k)
	}
	if den == 0 {
		return 0, 0
	}
	c = num / complex(den, 0)
	return c, (real(num)*real(num) + imag(num)*imag(num)) / den
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
	for range 3 {
		d, _ := s.project(own, lo, v)
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

// fitNear starts at l with the line back put back into the bins.
func (s *Spectrum) fitNear(l, back Line) Line {
	lo, hi := s.window(l.V)
	if hi-lo < 3 {
		return l
	}
	bins := s.Part(lo, hi, back)
	own := make([]complex128, len(bins))
	for round := range 4 {
		copy(own, bins)
		s.addImage(own, lo, Line{V: l.V, C: -l.C})
		span := 1 / float64(s.N)
		if round > 0 || back.C != 0 {
			span /= 16
		}
		was := l
		l.V = s.peak(own, lo, l.V, span)
		l.C, _ = s.project(own, lo, l.V)
		if math.Abs(l.V-was.V)*float64(s.N) < 1e-9 && cmplx.Abs(l.C-was.C) < 1e-9*cmplx.Abs(l.C) {
			break
		}
	}
	return l
}

// peak finds the frequency within span of v at which the bins r, of which the
// first is bin lo, are explained best.
func (s *Spectrum) peak(r []complex128, lo int, v, span float64) float64 {
	best, at := -1.0, v
	const grid = 4
	for i := -grid; i <= grid; i++ {
		x := v + span*float64(i)/grid
		if x <= 0 || x >= 0.5 {
			continue
		}
		if _, e := s.project(r, lo, x); e > best {
			best, at = e, x
		}
	}
	// Parabolas through three points, each closer than the last.
	for h := span / grid; h*float64(s.N) > 2e-4; h /= 8 {
		_, a := s.project(r, lo, at-h)
		_, b := s.project(r, lo, at)
		_, c := s.project(r, lo, at+h)
		den := a - 2*b + c
		if den >= 0 {
			break
		}
		d := h * (a - c) / (2 * den)
		at += math.Max(-h, math.Min(h, d))
	}
	return at
}

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
		s.addMain(s.R[lo:hi], lo, l)
	}
	// The image stands at -V and, the transform being periodic, at 1-V.
	_, below := s.clamp(0, reach-centre+1)
	s.addImage(s.R[:below], 0, l)
	above, _ := s.clamp(max(below, s.M-centre-reach), 0)
	s.addImage(s.R[above:], above, l)
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

func (s *Spectrum) addPart(part []complex128, lo int, l Line) {
	s.addMain(part, lo, l)
	s.addImage(part, lo, l)
}

func (s *Spectrum) addMain(part []complex128, lo int, l Line) {
	p := s.stepper(l.V, lo)
	for i := range part {
		part[i] += l.C * p.next()
	}
}

func (s *Spectrum) addImage(part []complex128, lo int, l Line) {
	s.addMain(part, lo, Line{V: -l.V, C: cmplx.Conj(l.C)})
}

// stepper yields E_k(v) for k, k+1, ... by turning two phasors, and computes
// them anew often enough that rounding does not add up.
type stepper struct {
	s      *Spectrum
	v      float64
	k      int
	u, w   complex128
	du, dw complex128
	left   int
}

func (s *Spectrum) stepper(v float64, k int) stepper {
	st := stepper{s: s, v: v, k: k}
	sn, cs := math.Sincos(-2 * math.Pi * float64(s.N%s.M) / float64(s.M))
	st.du = complex(cs, sn)
	sn, cs = math.Sincos(-2 * math.Pi / float64(s.M))
	st.dw = complex(cs, sn)
	return st
}

func (st *stepper) next() complex128 {
	if st.left == 0 {
		st.sync()
	}
	st.left--
	u, w := st.u, st.w
	st.u *= st.du
	st.w *= st.dw
	k := st.k
	st.k++
	d := 1 - w
	// Near the line 1-w loses digits: there the exact form is used.
	n2 := real(d)*real(d) + imag(d)*imag(d)
	if n2 < 1e-10 {
		return st.s.kernel(st.v, k)
	}
	num := 1 - u
	f := 1 / n2
	return complex((real(num)*real(d)+imag(num)*imag(d))*f, (imag(num)*real(d)-real(num)*imag(d))*f)
}

func (st *stepper) sync() {
	th := st.v - float64(st.k)/float64(st.s.M)
	th -= math.Round(th)
	sn, cs := math.Sincos(2 * math.Pi * th)
	st.w = complex(cs, sn)
	f := th * float64(st.s.N)
	sn, cs = math.Sincos(2 * math.Pi * (f - math.Round(f)))
	st.u = complex(cs, sn)
	st.left = 256
}

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
