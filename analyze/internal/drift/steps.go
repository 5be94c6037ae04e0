package drift

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

const (
	stepZ    = 7.0 // standard errors of a step of phase: 2.6e-12 a place by chance
	keepZ    = 0.8 * stepZ
	segment  = 3    // hops between two steps at least
	orderF   = 20.0 // F ratio from which one more order is worth its coefficient
	slopeLag = 5    // hops over which the phase is differenced for its robust slope
)

// division is a course of phase with steps.
type division struct {
	solution
	cost float64
}

// found is a division with what tells steps from phase noise.
type found struct {
	division
	order  int
	ratio  float64 // rms of what is left over the scatter of hops
	colour float64
}

// search finds order and steps together: of all orders the one of least cost.
func (f *fitter) search() found {
	h := f.hops
	r := despiked(h.phase, h.sigma)
	unit := longRun * h.sigma * h.sigma
	best := found{division: division{cost: math.Inf(1)}}
	for q := 1; q <= f.most; q++ {
		d := f.divide(r, q)
		clean := len(d.steps) == 0 && d.cost < 1.15*h.sigma*h.sigma*float64(len(r))
		if d.cost += orderF * unit * float64(q-1); d.cost < best.cost {
			best = found{division: d, order: q}
		}
		if clean {
			break
		}
	}
	free := math.Max(1, float64(best.used-best.order-1-len(best.steps)))
	best.ratio = math.Sqrt(best.rss/free) / h.sigma
	best.colour = colour(best.rest, best.steps, h.sigma*h.sigma*longRun)
	return best
}

// despiked puts the median of five in place of hops far from it, which noise clicks turn.
func despiked(r []float64, sigma float64) []float64 {
	out := slices.Clone(r)
	for i, v := range r {
		if m := medianOf5(r, i); math.Abs(v-m) > 5*sigma {
			out[i] = m
		}
	}
	return out
}

// divide finds steps for one order: partition and joint fit in turn, once from a slope
// that most hops agree on and once from a smooth course.
func (f *fitter) divide(r []float64, order int) division {
	penalty := stepZ * stepZ * longRun * f.hops.sigma * f.hops.sigma
	most := int(2 * mostASec * f.hops.seconds) // more are stairs that stand for a slope
	basis := f.basis[:order+1]
	best := division{cost: math.Inf(1)}
	try := func(s solution) {
		if cost := s.rss + penalty*float64(len(s.steps)); cost < best.cost-1e-12 {
			best = division{s, cost}
		}
	}
	course := robust(r, basis)
	var steps []int
	for range 8 {
		was := steps
		if steps = partition(minus(r, course), penalty); len(steps) > most {
			break
		}
		s := f.standing(solveFor(basis, steps, r), r)
		steps = s.steps
		try(s)
		if slices.Equal(steps, was) {
			break
		}
		course = s.smooth(s.coef)
	}
	steps = nil
	for range 5 {
		s := solveFor(basis, steps, r)
		try(s)
		next := partition(minus(r, s.smooth(s.coef)), penalty)
		if slices.Equal(next, steps) || len(next) > most {
			break
		}
		steps = next
	}
	return best
}

// standing drops steps, the weakest first, until all stand out.
func (f *fitter) standing(s solution, r []float64) solution {
	for len(s.steps) > 0 {
		z := f.standsOut(s)
		order := make([]int, len(z))
		for i := range order {
			order[i] = i
		}
		slices.SortFunc(order, func(a, b int) int { return cmp.Compare(z[a], z[b]) })
		if z[order[0]] >= keepZ {
			break
		}
		drop := order[:1+len(order)/8]
		var keep []int
		for i, k := range s.steps {
			if z[i] >= keepZ || !slices.Contains(drop, i) {
				keep = append(keep, k)
			}
		}
		s = solveFor(s.basis, keep, r)
	}
	return s
}

// standsOut is by how many standard errors each step differs from none.
func (f *fitter) standsOut(s solution) []float64 {
	z := s.errors(f.hops.sigma)
	for i, e := range z {
		z[i] = math.Abs(s.coef[len(s.basis)+i]) / math.Max(e, 1e-12)
	}
	return z
}

// partition is the division of r into constants of least cost, the sum of squares and a
// penalty a change; skip hops at each change are left out (Bellman 1961, Jackson et al. 2005).
func partition(r []float64, penalty float64) []int {
	n := len(r)
	sum, square := make([]float64, n+1), make([]float64, n+1)
	inverse := make([]float64, n+1)
	for i, v := range r {
		sum[i+1], square[i+1] = sum[i]+v, square[i]+v*v
		inverse[i+1] = 1 / float64(i+1)
	}
	cost, from := make([]float64, n+1), make([]int, n+1)
	for j := segment; j <= n; j++ {
		best, at := square[j]-sum[j]*sum[j]*inverse[j], 0
		sj, qj := sum[j], square[j]+penalty
		for i := segment; i+skip+segment <= j; i++ {
			a := i + skip
			d := sj - sum[a]
			if c := cost[i] + qj - square[a] - d*d*inverse[j-a]; c < best {
				best, at = c, i
			}
		}
		cost[j], from[j] = best, at
	}
	var out []int
	for j := from[n]; j > 0; j = from[j] {
		out = append(out, j)
	}
	slices.Reverse(out)
	return out
}

// robust is the polynomial course whose differences over some hops agree with most of
// those of r: least absolute deviations, by least squares weighted anew.
func robust(r []float64, basis [][]float64) []float64 {
	n, q := len(r)-slopeLag, len(basis)-1
	if n < q+1 {
		return make([]float64, len(r))
	}
	d, w := make([]float64, n), make([]float64, n)
	slope := make([][]float64, q)
	for k := range slope {
		slope[k] = make([]float64, n)
		for i := range n {
			slope[k][i] = basis[k+1][i+slopeLag] - basis[k+1][i]
		}
	}
	for i := range n {
		d[i], w[i] = r[i+slopeLag]-r[i], 1
	}
	c := make([]float64, q)
	for range 12 {
		c = weighted(slope, d, w, c)
		away := slices.Clone(d)
		for k := range slope {
			for i, v := range slope[k] {
				away[i] -= c[k] * v
			}
		}
		for i := range away {
			away[i] = math.Abs(away[i])
		}
		least := 1e-3*median(away) + 1e-9
		for i, a := range away {
			w[i] = 1 / math.Max(a, least)
		}
	}
	out := make([]float64, len(r))
	for k := range c {
		for i, v := range basis[k+1] {
			out[i] += c[k] * v
		}
	}
	return out
}

// weighted are the coefficients of least weighted squares; was where there are none.
func weighted(columns [][]float64, d, w, was []float64) []float64 {
	q := len(columns)
	g, b := mat.NewSymDense(q, nil), mat.NewVecDense(q, nil)
	for j := range q {
		for k := j; k < q; k++ {
			sum := 0.0
			for i, v := range columns[j] {
				sum += w[i] * v * columns[k][i]
			}
			g.SetSym(j, k, sum)
		}
		sum := 0.0
		for i, v := range columns[j] {
			sum += w[i] * v * d[i]
		}
		b.SetVec(j, sum)
	}
	var chol mat.Cholesky
	x := mat.NewVecDense(q, nil)
	if !chol.Factorize(g) || chol.SolveVecTo(x, b) != nil {
		return was
	}
	return x.RawVector().Data
}

func minus(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] - b[i]
	}
	return out
}

// colour tells noise that is not white: between the steps means of 5 to 40 hops scatter
// by more than white hops of that variance would. It is the largest ratio of both, over what chance
// reaches once in 10,000 (chi-square, Wilson & Hilferty 1931).
func colour(rest []float64, steps []int, variance float64) float64 {
	edges := append(append([]int{-skip}, steps...), len(rest))
	worst := 0.0
	for _, b := range []int{5, 10, 20, 40} {
		sum, free := 0.0, 0.0
		for e := 1; e < len(edges); e++ {
			var means []float64
			for i := edges[e-1] + skip; i+b <= edges[e]; i += b {
				m := 0.0
				for _, v := range rest[i : i+b] {
					m += v / float64(b)
				}
				means = append(means, m)
			}
			if len(means) < 2 {
				continue
			}
			sum += squaresAbout(means)
			free += float64(len(means) - 1)
		}
		if free < 3 {
			continue
		}
		chance := 1 - 2/(9*free) + 3.72*math.Sqrt(2/(9*free))
		worst = math.Max(worst, sum/free/(variance/float64(b))/(chance*chance*chance))
	}
	return worst
}

// squaresAbout is the sum of squares about the mean.
func squaresAbout(x []float64) float64 {
	mean, sum := 0.0, 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sum += (v - mean) * (v - mean)
	}
	return sum
}
