package dft

import "math"

// A pass turns a block of transforms of length m into r blocks of length m/r, after
// Stockham: element t of transform q stands at t*s+q, and the results of the r parts
// stand beside each other, so nothing is left to be put in order at the end.
//
//	dst[(r p + j) s + q] = w^(p j) sum_l src[(p + l m/r) s + q] exp(-2 pi i j l / r)
//
// for p below m/r, with w = exp(-2 pi i / m). The turns w^(p j), j = 1 to r-1, stand one
// p after the other in turns.
type pass struct {
	radix int
	turns []complex128
}

// passesFor are the passes that make up a transform of n, a product of 2, 3 and 5.
func passesFor(n int) (all []pass) {
	for _, r := range []int{4, 2, 3, 5} {
		for ; n%r == 0; n /= r {
			p := pass{radix: r}
			for k := range n / r {
				for j := 1; j < r; j++ {
					p.turns = append(p.turns, turn(k*j, n))
				}
			}
			all = append(all, p)
		}
	}
	return all
}

// turn is exp(-2 pi i k / n), right to the last bit or two: the angle is brought below a
// quarter of a right one while it is still a whole number.
func turn(k, n int) complex128 {
	k %= n
	eighth := 8 * k / n
	switch rest := 8*k - eighth*n; {
	case eighth%2 == 0:
		sin, cos := math.Sincos(math.Pi / 4 * float64(rest) / float64(n))
		return quarters(complex(cos, -sin), eighth/2)
	default:
		sin, cos := math.Sincos(math.Pi / 4 * float64(n-rest) / float64(n))
		return quarters(complex(sin, -cos), eighth/2)
	}
}

// quarters is z turned back by so many right angles.
func quarters(z complex128, times int) complex128 {
	for range times {
		z = complex(imag(z), -real(z))
	}
	return z
}

// run takes every pass in turn over s transforms that stand in a, element by element, with
// b as room, and returns the one that holds the result.
func run(all []pass, a, b []complex128, s int) []complex128 {
	for i := range all {
		p := &all[i]
		switch p.radix {
		case 2:
			p.two(b, a, s)
		case 3:
			p.three(b, a, s)
		case 4:
			p.four(b, a, s)
		default:
			p.five(b, a, s)
		}
		a, b = b, a
		s *= p.radix
	}
	return a
}

func (p *pass) two(dst, src []complex128, s int) {
	part := len(src) / 2
	for k, w := range p.turns {
		at := k * s
		x0, x1 := src[at:at+s], src[at+part:][:s]
		y0, y1 := dst[2*at:][:s], dst[2*at+s:][:s]
		for q := range s {
			a, b := x0[q], x1[q]
			y0[q], y1[q] = a+b, (a-b)*w
		}
	}
}

func (p *pass) three(dst, src []complex128, s int) {
	const sin = 0.866025403784438646763723170752936183 // of 60 degrees
	part := len(src) / 3
	for k := range len(p.turns) / 2 {
		w1, w2 := p.turns[2*k], p.turns[2*k+1]
		at := k * s
		x0, x1, x2 := src[at:at+s], src[at+part:][:s], src[at+2*part:][:s]
		y0, y1, y2 := dst[3*at:][:s], dst[3*at+s:][:s], dst[3*at+2*s:][:s]
		for q := range s {
			a, b, c := x0[q], x1[q], x2[q]
			sum := b + c
			mr, mi := real(a)-0.5*real(sum), imag(a)-0.5*imag(sum)
			dr, di := sin*(real(b)-real(c)), sin*(imag(b)-imag(c))
			y0[q] = a + sum
			y1[q] = complex(mr+di, mi-dr) * w1
			y2[q] = complex(mr-di, mi+dr) * w2
		}
	}
}

func (p *pass) four(dst, src []complex128, s int) {
	part := len(src) / 4
	for k := range len(p.turns) / 3 {
		w1, w2, w3 := p.turns[3*k], p.turns[3*k+1], p.turns[3*k+2]
		at := k * s
		x0, x1, x2, x3 := src[at:at+s], src[at+part:][:s], src[at+2*part:][:s], src[at+3*part:][:s]
		y0, y1, y2, y3 := dst[4*at:][:s], dst[4*at+s:][:s], dst[4*at+2*s:][:s], dst[4*at+3*s:][:s]
		for q := range s {
			a, b, c, d := x0[q], x1[q], x2[q], x3[q]
			u, v, w := a+c, a-c, b+d
			z := complex(imag(b)-imag(d), real(d)-real(b))
			y0[q] = u + w
			y1[q] = (v + z) * w1
			y2[q] = (u - w) * w2
			y3[q] = (v - z) * w3
		}
	}
}

func (p *pass) five(dst, src []complex128, s int) {
	const ( // the cosines of 72 and 144 degrees are -1/4 +- root; their sines
		root   = 0.559016994374947424102293417182819059 // sqrt 5 / 4
		s1, s2 = 0.951056516295153572116439333379382143, 0.587785252292473129168705954639072769
	)
	part := len(src) / 5
	for k := range len(p.turns) / 4 {
		w1, w2, w3, w4 := p.turns[4*k], p.turns[4*k+1], p.turns[4*k+2], p.turns[4*k+3]
		at := k * s
		x0, x1, x2 := src[at:at+s], src[at+part:][:s], src[at+2*part:][:s]
		x3, x4 := src[at+3*part:][:s], src[at+4*part:][:s]
		y0, y1, y2 := dst[5*at:][:s], dst[5*at+s:][:s], dst[5*at+2*s:][:s]
		y3, y4 := dst[5*at+3*s:][:s], dst[5*at+4*s:][:s]
		for q := range s {
			a, b, c, d, e := x0[q], x1[q], x2[q], x3[q], x4[q]
			be, cd, eb, dc := b+e, c+d, b-e, c-d
			sum := be + cd
			y0[q] = a + sum
			br, bi := real(a)-0.25*real(sum), imag(a)-0.25*imag(sum)
			dr, di := root*(real(be)-real(cd)), root*(imag(be)-imag(cd))
			mr, mi := br+dr, bi+di
			nr := s1*real(eb) + s2*real(dc)
			ni := s1*imag(eb) + s2*imag(dc)
			y1[q] = complex(mr+ni, mi-nr) * w1
			y4[q] = complex(mr-ni, mi+nr) * w4
			mr, mi = br-dr, bi-di
			nr = s2*real(eb) - s1*real(dc)
			ni = s2*imag(eb) - s1*imag(dc)
			y2[q] = complex(mr+ni, mi-nr) * w2
			y3[q] = complex(mr-ni, mi+nr) * w3
		}
	}
}
