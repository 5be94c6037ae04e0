package dft

import (
	"math/bits"
	"sync"
)

// Smooth returns the smallest product of 2, 3 and 5 that is at least n and
// even. A transform of such a length costs n log n; one with a large prime
// factor costs n squared.
func Smooth(n int) int {
	if n <= 2 {
		return 2
	}
	best := 1 << bits.Len(uint(n-1))
	for five := 2; five < best; five *= 5 {
		for three := five; three < best; three *= 3 {
			m := three
			if m < n {
				m <<= bits.Len(uint((n - 1) / m))
			}
			if m >= n && m < best {
				best = m
			}
		}
	}
	return best
}

// abreast is how many short transforms are taken side by side.
const abreast = 16

// plan is what transforms of 2n real or n complex points need, and does not change.
type plan struct {
	n, n1, n2     int // n = n1 n2
	first, second []pass
	// exp(-2 pi i k / 2n) is coarse[k >> shift] fine[k & (1<<shift - 1)]: two short
	// tables stay in the cache where one long one would not.
	coarse, fine []complex128
	shift        uint
}

// room is what one transform at a time works in.
type room struct{ turned, a, b []complex128 }

// Rooms that rest are shared by all lengths: a pool that the garbage collector empties
// would have the system hand out the same memory again and again.
var rooms = make(chan *room, 4)

// muchRoom is how many points are so many that a room with far more is let go.
const muchRoom = 1 << 16

func (p *plan) room() *room {
	w := &room{}
	select {
	case w = <-rooms:
	default:
	}
	if len(w.turned) < p.n || p.n >= muchRoom && len(w.turned) > p.n+p.n/2 {
		w.turned = make([]complex128, p.n)
	}
	if short := abreast * p.n2; len(w.a) < short {
		w.a, w.b = make([]complex128, short), make([]complex128, short)
	}
	return w
}

func (w *room) leave() {
	select {
	case rooms <- w:
	default:
	}
}

// A plan is small, but lengths are many in the long run: those kept are let go at this number.
const keptPlans = 64

var kept struct {
	sync.Mutex
	plans map[int]*plan
}

// planOf is the plan for m real points, nil where m/2 is no product of 2, 3 and 5.
func planOf(m int) *plan {
	kept.Lock()
	defer kept.Unlock()
	p := kept.plans[m]
	if p == nil && m >= 2 && Smooth(m) == m {
		if len(kept.plans) >= keptPlans || kept.plans == nil {
			kept.plans = map[int]*plan{}
		}
		p = newPlan(m / 2)
		kept.plans[m] = p
	}
	return p
}

func newPlan(n int) *plan {
	p := &plan{n: n, n1: 1}
	for d := 1; d*d <= n; d++ {
		if n%d == 0 {
			p.n1 = d
		}
	}
	p.n2 = n / p.n1
	p.first, p.second = passesFor(p.n1), passesFor(p.n2)
	p.shift = uint(bits.Len(uint(2*n))+1) / 2
	for k := range 1 << p.shift {
		p.fine = append(p.fine, turn(k, 2*n))
	}
	for k := 0; k < 2*n; k += 1 << p.shift {
		p.coarse = append(p.coarse, turn(k, 2*n))
	}
	return p
}

// turn is exp(-2 pi i k / 2n) for k below 2n.
func (p *plan) turn(k int) complex128 {
	return p.coarse[k>>p.shift] * p.fine[k&(1<<p.shift-1)]
}

// transform takes the transform of n complex points. get fetches a few that stand
// together, put is given a few of the result; all are fetched before any is given.
func (p *plan) transform(get func(to []complex128, at int), put func(at int, from []complex128)) {
	w := p.room()
	defer w.leave()
	for c := 0; c < p.n2; c += abreast {
		s := min(abreast, p.n2-c)
		p.turnColumns(w.turned[c*p.n1:], c, s, w.short(p.first, p.n1, s, func(row int, to []complex128) {
			get(to, row*p.n2+c)
		}))
	}
	for c := 0; c < p.n1; c += abreast {
		s := min(abreast, p.n1-c)
		done := w.short(p.second, p.n2, s, func(row int, to []complex128) {
			copy(to, w.turned[row*p.n1+c:])
		})
		for row := range p.n2 {
			put(row*p.n1+c, done[row*s:][:s])
		}
	}
}

// short takes s transforms of n points side by side, whose rows it fetches one by one.
func (w *room) short(passes []pass, n, s int, get func(row int, to []complex128)) []complex128 {
	a, b := w.a[:n*s], w.b[:n*s]
	for row := range n {
		get(row, a[row*s:][:s])
	}
	return run(passes, a, b, s)
}

// turnColumns turns element k of column q by exp(-2 pi i k q / n), for s columns from
// the one named from on, and writes them one after the other.
func (p *plan) turnColumns(to []complex128, from, s int, columns []complex128) {
	for q := range s {
		at, column := 0, to[q*p.n1:][:p.n1]
		for k, i := 0, q; k < len(column); k, i = k+1, i+s {
			column[k] = columns[i] * p.turn(at)
			at += 2 * (from + q)
		}
	}
}

// part makes of the transform of n complex points, z, the n+1 coefficients of the 2n
// real ones that they were: the even ones' and the odd ones' transforms, the latter turned.
func (p *plan) part(z []complex128) {
	first := z[0]
	z[0], z[p.n] = complex(real(first)+imag(first), 0), complex(real(first)-imag(first), 0)
	up, down := z[:p.n/2+1], z[p.n-p.n/2:][:p.n/2+1]
	for k := 1; k < len(up); k++ {
		a, b := up[k], down[len(up)-1-k]
		even := complex(0.5*(real(a)+real(b)), 0.5*(imag(a)-imag(b)))
		odd := complex(0.5*(imag(a)+imag(b)), 0.5*(real(b)-real(a))) * p.turn(k)
		up[k] = even + odd
		down[len(up)-1-k] = complex(real(even)-real(odd), imag(odd)-imag(even))
	}
}

// join undoes part, twice as large, for some elements from at on, with real and
// imaginary parts exchanged: a transform of exchanged parts is the inverse, exchanged.
func (p *plan) join(to, coeff []complex128, at int) {
	for i := range to {
		k := at + i
		a, b := coeff[k], coeff[p.n-k]
		if k == 0 {
			a, b = complex(real(a), 0), complex(real(b), 0)
		}
		w := p.turn(k)
		even := complex(real(a)+real(b), imag(a)-imag(b))
		odd := complex(real(a)-real(b), imag(a)+imag(b)) * complex(real(w), -imag(w))
		to[i] = complex(imag(even)+real(odd), real(even)-imag(odd))
	}
}
