package lines

import (
	"math"
	"math/cmplx"
)

// fitNear starts at l with the line back put back into the bins.
func (s *Spectrum) fitNear(l, back Line) Line {
	lo, hi := s.window(l.V)
	if hi-lo < 3 {
		return l
	}
	f := fitter{s: s, lo: lo, bins: s.Part(lo, hi, back)}
	f.own, f.e, f.d = make([]complex128, len(f.bins)), make([]complex128, len(f.bins)), make([]complex128, len(f.bins))
	f.without(l)
	start := l
	if back.C == 0 {
		start.V = f.coarse(l.V, 1/float64(s.N))
	}
	if found, ok := f.newton(start); ok {
		return found
	}
	return f.search(l, back.C != 0)
}

// fitter holds the bins around a line while it is fitted.
type fitter struct {
	s         *Spectrum
	lo        int
	bins, own []complex128 // as they are, and without the line's image
	e, d      []complex128
}

// without takes the image of a line out of the bins.
func (f *fitter) without(l Line) {
	copy(f.own, f.bins)
	f.s.addImage(f.own, f.lo, Line{V: l.V, C: -l.C})
}

// project returns the least-squares coefficient of E(v) on the bins and how
// much energy it explains there.
func (f *fitter) project(v float64) (c complex128, energy float64) {
	f.s.kernels(f.e, v, f.lo)
	return project(f.own, f.e)
}

func project(r, e []complex128) (c complex128, energy float64) {
	var nr, ni, den float64
	for i, x := range r {
		k := e[i]
		nr += real(x)*real(k) + imag(x)*imag(k)
		ni += imag(x)*real(k) - real(x)*imag(k)
		den += real(k)*real(k) + imag(k)*imag(k)
	}
	if den == 0 {
		return 0, 0
	}
	return complex(nr/den, ni/den), (nr*nr + ni*ni) / den
}

const coarseSteps = 4

// coarse is the best of nine frequencies within span of v.
func (f *fitter) coarse(v, span float64) float64 {
	best, at := -1.0, v
	for i := -coarseSteps; i <= coarseSteps; i++ {
		x := v + span*float64(i)/coarseSteps
		if x <= 0 || x >= 0.5 {
			continue
		}
		if _, e := f.project(x); e > best {
			best, at = e, x
		}
	}
	return at
}

// newton fits frequency and coefficient together by Gauss and Newton's steps,
// the coefficient being projected out in each and the line's image taken out
// anew before each. In noise those steps come to rest slowly, so each is stretched as
// the two before it advise (secant). ok is false where the search does not come to
// rest near where it began.
func (f *fitter) newton(l Line) (Line, bool) {
	const steps, still, most = 16, 1e-9, 1.5 / coarseSteps
	n := float64(f.s.N)
	start, last, moved := l.V, 0.0, 0.0
	for step := range steps {
		was := l.C
		f.without(l)
		var turn float64
		l.C, turn = f.step(l.V)
		if l.C == 0 || math.IsNaN(turn) {
			return l, false
		}
		if step > 0 && math.Abs(turn)*n < still && cmplx.Abs(l.C-was) < still*cmplx.Abs(l.C) {
			return l, true
		}
		stretch := 1.0
		if d := last - turn; step > 0 && d != 0 && moved/d > 0.3 && moved/d < 4 {
			stretch = moved / d
		}
		last, moved = turn, stretch*turn
		l.V += moved
		if math.Abs(l.V-start)*n > most || l.V <= 0 || l.V >= 0.5 {
			return l, false
		}
	}
	return l, false
}

// step is the coefficient at v and by how much a better frequency lies beside it.
func (f *fitter) step(v float64) (c complex128, dv float64) {
	s := f.s
	s.kernels(f.e, v, f.lo)
	s.slopes(f.d, f.e, v, f.lo)
	var ee, dd float64
	var er, ed, dr complex128
	for i, r := range f.own {
		e, d := f.e[i], f.d[i]
		ee += real(e)*real(e) + imag(e)*imag(e)
		dd += real(d)*real(d) + imag(d)*imag(d)
		ce, cd := complex(real(e), -imag(e)), complex(real(d), -imag(d))
		er += ce * r
		ed += ce * d
		dr += cd * r
	}
	if ee == 0 {
		return 0, 0
	}
	c = er / complex(ee, 0)
	g := ed / complex(ee, 0)
	away := dr - cmplx.Conj(g)*er
	curve := (real(c)*real(c) + imag(c)*imag(c)) * (dd - (real(g)*real(g)+imag(g)*imag(g))*ee)
	return c, real(cmplx.Conj(c)*away) / curve
}

// search finds the frequency by the energy alone, for lines in so much noise that
// steps by the slope do not come to rest.
func (f *fitter) search(l Line, known bool) Line {
	for round := range 4 {
		f.without(l)
		span := 1 / float64(f.s.N)
		if round > 0 || known {
			span /= 16
		}
		was := l
		l.V = f.peak(l.V, span)
		l.C, _ = f.project(l.V)
		if math.Abs(l.V-was.V)*float64(f.s.N) < 1e-9 && cmplx.Abs(l.C-was.C) < 1e-9*cmplx.Abs(l.C) {
			break
		}
	}
	return l
}

// peak finds the frequency within span of v at which the bins are explained best.
func (f *fitter) peak(v, span float64) float64 {
	at := f.coarse(v, span)
	// Parabolas through three points, each closer than the last.
	for h := span / coarseSteps; h*float64(f.s.N) > 2e-4; h /= 8 {
		_, a := f.project(at - h)
		_, b := f.project(at)
		_, c := f.project(at + h)
		den := a - 2*b + c
		if den >= 0 {
			break
		}
		d := h * (a - c) / (2 * den)
		at += math.Max(-h, math.Min(h, d))
	}
	return at
}
