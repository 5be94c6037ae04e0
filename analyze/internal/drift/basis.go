package drift

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// skip is how many hops at a step are left out: the step lies within their windows.
const skip = 2

// basisOf are Legendre's polynomials P_0 to P_order at u.
func basisOf(u []float64, order int) [][]float64 {
	p := make([][]float64, order+1)
	for k := range p {
		p[k] = make([]float64, len(u))
		for i, v := range u {
			switch n := float64(k); k {
			case 0:
				p[k][i] = 1
			case 1:
				p[k][i] = v
			default:
				p[k][i] = ((2*n-1)*v*p[k-1][i] - (n-1)*p[k-2][i]) / n
			}
		}
	}
	return p
}

// system is a least-squares fit of polynomials and steps. A step at k is one from hop
// k+1 on; hops k and k+1 do not count.
type system struct {
	basis [][]float64
	steps []int
	count []bool // hops that count
	used  int
	chol  mat.Cholesky
}

func systemOf(basis [][]float64, steps []int) *system {
	n := len(basis[0])
	s := &system{basis: basis, steps: steps, count: make([]bool, n)}
	for i := range s.count {
		s.count[i] = true
	}
	for _, k := range steps {
		for i := k; i < min(n, k+skip); i++ {
			s.count[i] = false
		}
	}
	for _, c := range s.count {
		if c {
			s.used++
		}
	}
	p := len(basis)
	size := p + len(steps)
	g := mat.NewSymDense(size, nil)
	for a := range basis {
		for b := a; b < p; b++ {
			sum := 0.0
			for i, c := range s.count {
				if c {
					sum += basis[a][i] * basis[b][i]
				}
			}
			g.SetSym(a, b, sum)
		}
		for j, v := range s.after(basis[a]) {
			g.SetSym(a, p+j, v)
		}
	}
	for i := range steps { // of two steps the later one's hops are common; P_0 has counted them
		for j := i; j < len(steps); j++ {
			g.SetSym(p+i, p+j, g.At(0, p+j))
		}
	}
	for i := range size { // a step that a polynomial can imitate stays small
		g.SetSym(i, i, g.At(i, i)+1e-9)
	}
	s.chol.Factorize(g)
	return s
}

// after are the sums of r over the hops that count, behind each step.
func (s *system) after(r []float64) []float64 {
	out := make([]float64, len(s.steps))
	sum, i := 0.0, len(r)-1
	for j := len(s.steps) - 1; j >= 0; j-- {
		for ; i > s.steps[j]; i-- {
			if s.count[i] {
				sum += r[i]
			}
		}
		out[j] = sum
	}
	return out
}

// solve returns the coefficients, polynomials first.
func (s *system) solve(r []float64) []float64 {
	b := make([]float64, 0, len(s.basis)+len(s.steps))
	for _, p := range s.basis {
		sum := 0.0
		for i, c := range s.count {
			if c {
				sum += p[i] * r[i]
			}
		}
		b = append(b, sum)
	}
	b = append(b, s.after(r)...)
	x := mat.NewVecDense(len(b), nil)
	if err := s.chol.SolveVecTo(x, mat.NewVecDense(len(b), b)); err != nil {
		return make([]float64, len(b))
	}
	return x.RawVector().Data
}

// values of polynomials and steps at each hop.
func (s *system) values(c []float64) []float64 {
	out := s.smooth(c)
	sum, j := 0.0, 0
	for i := range out {
		for j < len(s.steps) && i > s.steps[j] {
			sum += c[len(s.basis)+j]
			j++
		}
		out[i] += sum
	}
	return out
}

// smooth are the values of the polynomials alone.
func (s *system) smooth(c []float64) []float64 {
	out := make([]float64, len(s.count))
	for k, p := range s.basis {
		for i, v := range p {
			out[i] += c[k] * v
		}
	}
	return out
}

// errors are the standard errors of the steps, for hops that scatter by sigma.
func (s *system) errors(sigma float64) []float64 {
	out := make([]float64, len(s.steps))
	if len(out) == 0 {
		return out
	}
	var inverse mat.SymDense
	if err := s.chol.InverseTo(&inverse); err != nil {
		return out
	}
	for j := range out {
		p := len(s.basis) + j
		out[j] = sigma * math.Sqrt(longRun*math.Max(0, inverse.At(p, p)))
	}
	return out
}

// solution is a system's fit to r.
type solution struct {
	*system
	coef []float64
	rest []float64 // r less the fit; 0 at hops that do not count
	rss  float64
}

func solveFor(basis [][]float64, steps []int, r []float64) solution {
	s := solution{system: systemOf(basis, steps)}
	s.coef = s.solve(r)
	s.rest = s.values(s.coef)
	for i, v := range s.rest {
		if s.rest[i] = r[i] - v; !s.count[i] {
			s.rest[i] = 0
		}
		s.rss += s.rest[i] * s.rest[i]
	}
	return s
}
