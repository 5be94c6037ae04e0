package lines

import "math"

// run is how many bins are reached from one phasor by turning it, by turns that
// are kept: so rounding does not add up, and no bin waits for the one before.
const run = 256

// grid holds the turns of a grid of m bins and a block of n samples.
type grid struct {
	turn [run]complex128 // exp(2 pi i j / m)
	tail [run]complex128 // exp(2 pi i j n / m); all 1 without padding
}

func (s *Spectrum) turns() *grid {
	if s.grid == nil {
		s.grid = &grid{}
		for j := range run {
			s.grid.turn[j] = unit(float64(j) / float64(s.M))
			s.grid.tail[j] = unit(s.ends(j))
		}
	}
	return s.grid
}

// unit is exp(2 pi i x).
func unit(x float64) complex128 {
	sn, cs := math.Sincos(2 * math.Pi * (x - math.Round(x)))
	return complex(cs, sn)
}

// ends is k n / m without its whole turns.
func (s *Spectrum) ends(k int) float64 { return float64(k%s.M*(s.N%s.M)%s.M) / float64(s.M) }

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

// slope is dE_k/dv where v is near the bin: with the phase left out and a = pi th n, sin(pi th) being pi th there, d/dth
// (sin a / sin(pi th)) = pi n^2 (a cos a - sin a) / a^2.
func (s *Spectrum) slope(v float64, k int) complex128 {
	th := v - float64(k)/float64(s.M)
	th -= math.Round(th)
	n := float64(s.N)
	a := math.Pi * th * n
	d := -math.Pi * n * n * a / 3 * (1 - a*a/10)
	if math.Abs(a) > 1e-2 {
		d = math.Pi * n * n * (a*math.Cos(a) - math.Sin(a)) / (a * a)
	}
	e := s.kernel(v, k)
	sn, cs := math.Sincos(math.Pi * th * (n - 1))
	turn := math.Pi * (n - 1)
	return complex(d*cs-turn*imag(e), d*sn+turn*real(e))
}

// Nearer to the line than this, 1-w loses digits and the exact form is used.
const close2 = 1e-10

// kernels fills e with E_k(v) for the bins from lo on.
func (s *Spectrum) kernels(e []complex128, v float64, lo int) {
	g := s.turns()
	vn := v * float64(s.N)
	vn -= math.Round(vn)
	for at := 0; at < len(e); at += run {
		k := lo + at
		part := e[at:min(at+run, len(e))]
		w0, u0 := unit(v-float64(k)/float64(s.M)), unit(vn-s.ends(k))
		for j := range part {
			t, z := g.turn[j], g.tail[j]
			// w0 and u0 turned back by t and z.
			dr := 1 - (real(w0)*real(t) + imag(w0)*imag(t))
			di := real(w0)*imag(t) - imag(w0)*real(t)
			nr := 1 - (real(u0)*real(z) + imag(u0)*imag(z))
			ni := real(u0)*imag(z) - imag(u0)*real(z)
			n2 := dr*dr + di*di
			if n2 < close2 {
				part[j] = s.kernel(v, k+j)
				continue
			}
			f := 1 / n2
			part[j] = complex((nr*dr+ni*di)*f, (ni*dr-nr*di)*f)
		}
	}
}

// slopes fills d with dE_k/dv, of which e holds E_k(v):
// E' = 2 pi i (w E - n u) / (1 - w).
func (s *Spectrum) slopes(d, e []complex128, v float64, lo int) {
	g := s.turns()
	n := float64(s.N)
	vn := v * n
	vn -= math.Round(vn)
	for at := 0; at < len(d); at += run {
		k := lo + at
		part, es := d[at:min(at+run, len(d))], e[at:]
		w0, u0 := unit(v-float64(k)/float64(s.M)), unit(vn-s.ends(k))
		for j := range part {
			t, z := g.turn[j], g.tail[j]
			w := w0 * complex(real(t), -imag(t))
			u := u0 * complex(real(z), -imag(z))
			dr, di := 1-real(w), -imag(w)
			n2 := dr*dr + di*di
			if n2 < close2 {
				part[j] = s.slope(v, k+j)
				continue
			}
			x := w*es[j] - complex(n*real(u), n*imag(u))
			f := 2 * math.Pi / n2
			// i x / (dr + i di)
			part[j] = complex((real(x)*di-imag(x)*dr)*f, (real(x)*dr+imag(x)*di)*f)
		}
	}
}

// addPart adds a line and its image to bins of which the first is bin lo. With
// the sample before the line's first, its first, its last and the one after
// it, x(-1), x(0), x(n-1), x(n), and q = 2 pi k / m, the two kernels together are
//
//	X_k = ((x(0) - x(n) z) exp(i q) - (x(-1) - x(n-1) z)) / (2 (cos q - cos 2 pi v)),  z = exp(-i q n),
//
// the sum of a sampled cosine over a block.
func (s *Spectrum) addPart(part []complex128, lo int, l Line) {
	g := s.turns()
	sample := func(turns float64) float64 {
		z := unit(turns)
		return 2 * (real(l.C)*real(z) - imag(l.C)*imag(z))
	}
	vn := l.V * float64(s.N)
	vn -= math.Round(vn)
	first, before, after, last := sample(0), sample(-l.V), sample(vn), sample(vn-l.V)
	bare := s.N%s.M == 0
	line := math.Cos(2 * math.Pi * l.V)
	for at := 0; at < len(part); at += run {
		k := lo + at
		bins := part[at:min(at+run, len(part))]
		q0, z0 := unit(float64(k)/float64(s.M)), unit(-s.ends(k))
		if bare {
			s.addBare(bins, k, l, q0, first-after, before-last, line)
			continue
		}
		for j := range bins {
			q := q0 * g.turn[j]
			t := g.tail[j]
			z := z0 * complex(real(t), -imag(t))
			den := 2 * (real(q) - line)
			if den < tight && den > -tight {
				bins[j] += s.both(l, k+j)
				continue
			}
			f := 1 / den
			ar, ai := first-after*real(z), -after*imag(z)
			bins[j] += complex((ar*real(q)-ai*imag(q)-before+last*real(z))*f, (ar*imag(q)+ai*real(q)+last*imag(z))*f)
		}
	}
}

// tight is the difference of cosines below which the sum over a block loses digits.
const tight = 1e-6

// addBare is addPart without padding, where z is 1.
func (s *Spectrum) addBare(bins []complex128, k int, l Line, q0 complex128, a, b, line float64) {
	turn := s.grid.turn[:len(bins)]
	for j, t := range turn {
		qr := real(q0)*real(t) - imag(q0)*imag(t)
		qi := real(q0)*imag(t) + imag(q0)*real(t)
		den := 2 * (qr - line)
		if den < tight && den > -tight {
			bins[j] += s.both(l, k+j)
			continue
		}
		f := 1 / den
		bins[j] += complex((a*qr-b)*f, a*qi*f)
	}
}

// both is a line and its image at one bin.
func (s *Spectrum) both(l Line, k int) complex128 {
	return l.C*s.kernel(l.V, k) + complex(real(l.C), -imag(l.C))*s.kernel(-l.V, k)
}

func (s *Spectrum) addImage(part []complex128, lo int, l Line) {
	e := make([]complex128, len(part))
	s.kernels(e, -l.V, lo)
	c := complex(real(l.C), -imag(l.C))
	for i, k := range e {
		part[i] += c * k
	}
}
