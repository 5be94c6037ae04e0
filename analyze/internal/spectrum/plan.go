package spectrum

import "math"

// plan is a complex transform of length n after Stockham: passes of radix 5, 4,
// 3 and 2 go back and forth between two buffers, and the order comes out right by
// itself. It takes a third of the time of the library's transform, against which
// the tests check it.
type plan struct {
	n     int
	radix []int
	turn  []complex128 // exp(-pi i k/n) up to a quarter of a turn: the rest follows from it
	a, b  []complex128
}

func newPlan(n int) *plan {
	p := &plan{n: n, turn: make([]complex128, n/2+1), b: make([]complex128, n)}
	for k := range p.turn {
		sin, cos := math.Sincos(math.Pi * float64(k) / float64(n))
		p.turn[k] = complex(cos, -sin)
	}
	for m := n; m > 1; {
		r := factor(m)
		p.radix = append(p.radix, r)
		m /= r
	}
	return p
}

// w is exp(-2 pi i k/n) for k below n.
func (p *plan) w(k int) complex128 {
	k *= 2
	if k < p.n {
		return p.half(k)
	}
	return -p.half(k - p.n)
}

// half is exp(-pi i k/n) for k up to n.
func (p *plan) half(k int) complex128 {
	if 2*k <= p.n {
		return p.turn[k]
	}
	w := p.turn[p.n-k]
	return complex(-real(w), imag(w))
}

// factor is the radix of the next pass: the large ones first.
func factor(m int) int {
	for _, r := range []int{5, 4, 3, 2} {
		if m%r == 0 {
			return r
		}
	}
	return m
}

// forward transforms what a holds, and returns the buffer with the result: a or b.
func (p *plan) forward(a, b []complex128) []complex128 {
	s, m := 1, p.n
	for _, r := range p.radix {
		m /= r
		switch r {
		case 5:
			p.radix5(b, a, s, m)
		case 4:
			p.radix4(b, a, s, m)
		case 3:
			p.radix3(b, a, s, m)
		case 2:
			p.radix2(b, a, s, m)
		default:
			p.anyRadix(b, a, s, m, r)
		}
		a, b = b, a
		s *= r
	}
	return a
}

// A pass of radix r takes the values q + s(k + m j), j below r, transforms them,
// turns the results by w^(jk), and puts them to q + s(rk + j): for all q below s
// and k below m, where r s m is the length.

func (p *plan) radix4(y, x []complex128, s, m int) {
	n := s * m
	for k := range m {
		i := k * s
		w1, w2, w3 := p.w(i), p.w(2*i), p.w(3*i)
		x0, x1, x2, x3 := x[i:i+s], x[i+n:i+n+s], x[i+2*n:i+2*n+s], x[i+3*n:i+3*n+s]
		o := 4 * i
		y0, y1, y2, y3 := y[o:o+s], y[o+s:o+2*s], y[o+2*s:o+3*s], y[o+3*s:o+4*s]
		for q := range s {
			u, v := x0[q]+x2[q], x0[q]-x2[q]
			c, d := x1[q]+x3[q], x1[q]-x3[q]
			d = complex(imag(d), -real(d)) // times -i
			y0[q], y1[q], y2[q], y3[q] = u+c, (v+d)*w1, (u-c)*w2, (v-d)*w3
		}
	}
}

func (p *plan) radix2(y, x []complex128, s, m int) {
	n := s * m
	for k := range m {
		i := k * s
		w := p.w(i)
		x0, x1, y0, y1 := x[i:i+s], x[i+n:i+n+s], y[2*i:2*i+s], y[2*i+s:2*i+2*s]
		for q := range s {
			u, v := x0[q], x1[q]
			y0[q], y1[q] = u+v, (u-v)*w
		}
	}
}

func (p *plan) radix3(y, x []complex128, s, m int) {
	n, half := s*m, math.Sqrt(3)/2
	for k := range m {
		i := k * s
		w1, w2 := p.w(i), p.w(2*i)
		x0, x1, x2 := x[i:i+s], x[i+n:i+n+s], x[i+2*n:i+2*n+s]
		o := 3 * i
		y0, y1, y2 := y[o:o+s], y[o+s:o+2*s], y[o+2*s:o+3*s]
		for q := range s {
			u, v := x1[q]+x2[q], x1[q]-x2[q]
			v = complex(half*imag(v), -half*real(v))
			t := x0[q] - complex(real(u)/2, imag(u)/2)
			y0[q], y1[q], y2[q] = x0[q]+u, (t+v)*w1, (t-v)*w2
		}
	}
}

func (p *plan) radix5(y, x []complex128, s, m int) {
	n := s * m
	s1, c1 := math.Sincos(2 * math.Pi / 5)
	s2, c2 := math.Sincos(4 * math.Pi / 5)
	for k := range m {
		i := k * s
		w1, w2, w3, w4 := p.w(i), p.w(2*i), p.w(3*i), p.w(4*i)
		x0, x1, x2, x3, x4 := x[i:i+s], x[i+n:i+n+s], x[i+2*n:i+2*n+s], x[i+3*n:i+3*n+s], x[i+4*n:i+4*n+s]
		o := 5 * i
		y0, y1, y2, y3, y4 := y[o:o+s], y[o+s:o+2*s], y[o+2*s:o+3*s], y[o+3*s:o+4*s], y[o+4*s:o+5*s]
		for q := range s {
			z, a, d := x0[q], x1[q]+x4[q], x1[q]-x4[q]
			b, e := x2[q]+x3[q], x2[q]-x3[q]
			t := complex(real(z)+c1*real(a)+c2*real(b), imag(z)+c1*imag(a)+c2*imag(b))
			u := complex(real(z)+c2*real(a)+c1*real(b), imag(z)+c2*imag(a)+c1*imag(b))
			v := complex(s1*imag(d)+s2*imag(e), -s1*real(d)-s2*real(e)) // times -i
			g := complex(s2*imag(d)-s1*imag(e), -s2*real(d)+s1*real(e))
			y0[q] = z + a + b
			y1[q], y2[q], y3[q], y4[q] = (t+v)*w1, (u+g)*w2, (u-g)*w3, (t-v)*w4
		}
	}
}

// anyRadix is for lengths with larger primes in them, which cost r times r.
func (p *plan) anyRadix(y, x []complex128, s, m, r int) {
	for k := range m {
		for j := range r {
			w := p.w(j * k * s)
			for q := range s {
				var sum complex128
				for l := range r {
					sum += x[q+s*(k+m*l)] * p.w(j*l%r*(p.n/r))
				}
				y[q+s*(r*k+j)] = sum * w
			}
		}
	}
}

// real transforms 2n real values: as n complex ones, which are then taken apart.
func (p *plan) real(dst []complex128, x []float64) []complex128 {
	n := p.n
	for i := range n {
		dst[i] = complex(x[2*i], x[2*i+1])
	}
	z := p.forward(dst[:n], p.b)
	z0 := z[0]
	for k := 1; 2*k <= n; k++ {
		u, v := z[k], z[n-k]
		even := complex(real(u)+real(v), imag(u)-imag(v))
		odd := complex(imag(u)+imag(v), real(v)-real(u)) * p.turn[k]
		a, b := even+odd, even-odd
		dst[k] = complex(real(a)/2, imag(a)/2)
		dst[n-k] = complex(real(b)/2, -imag(b)/2)
	}
	dst[0], dst[n] = complex(real(z0)+imag(z0), 0), complex(real(z0)-imag(z0), 0)
	return dst
}

// inverse is real backwards, times 2n.
func (p *plan) inverse(dst []float64, x []complex128) []float64 {
	n := p.n
	if p.a == nil {
		p.a = make([]complex128, n)
	}
	// Real and imaginary part change places: the way back is the way there.
	p.a[0] = complex(real(x[0])-real(x[n]), real(x[0])+real(x[n]))
	for k := 1; 2*k <= n; k++ {
		u, v := x[k], x[n-k]
		even := complex(real(u)+real(v), imag(u)-imag(v))
		w := p.turn[k]
		odd := complex(real(u)-real(v), imag(u)+imag(v)) * complex(real(w), -imag(w))
		p.a[k] = complex(imag(even)+real(odd), real(even)-imag(odd))
		p.a[n-k] = complex(real(odd)-imag(even), real(even)+imag(odd))
	}
	for i, v := range p.forward(p.a, p.b) {
		dst[2*i], dst[2*i+1] = imag(v), real(v)
	}
	return dst
}
