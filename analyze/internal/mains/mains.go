// Package mains finds the lines of the mains in a spectrum and measures them as one
// family: all stand on multiples of one fundamental f0.
//
//	x(t) = sum_k a_k cos(2 pi k f0 t + th_k) + other lines + noise of the density S(f)
//
// T seconds of noise give a fitted line the mean square F = S/T, its floor; a line of
// the mean square P stands q = P/F above it, where noise alone gives an exponential
// variable of mean 1. The steps:
//
//  1. list.go: lines that stand are taken out one by one (least squares), and the
//     pieces of one line that drifts are joined.
//  2. choose.go: the fundamental that explains the list best, as a likelihood ratio
//     against lines that have nothing to do with each other; where no line stands by
//     itself, the sum over all orders (Quinn & Thomson 1991).
//  3. floor.go: the noise at each order (Whittle 1953).
//  4. level.go: every order counts with P - F, also where that is negative, so weak lines
//     are neither lost nor favoured; the interval is that of all orders together.
//  5. bound.go: where no family stands out, what it may have at most.
//
// Units: Hz, seconds; powers are mean squares. Citations are from memory.
package mains

import (
	"math"

	"hisspoint/analyze/internal/lines"
)

// Input is a spectrum and what is known of it.
type Input struct {
	Spectrum *lines.Spectrum // offset, test tone and its harmonics taken out; it is not changed
	Rate     float64         // samples a second
	Mains    float64         // 50 or 60 Hz; 0: not told
	Tones    []float64       // the test tone and its multiples: what stands there is no hum
	Standard []float64       // the sub-audible tones in use
}

// Order is one order of a family.
type Order struct {
	Order  int
	Hz     float64    // where it stands
	Line   lines.Line // what was fitted and stands out of the noise; C 0: nothing does
	Net    float64    // mean square less what noise adds, also below 0
	Skirt  float64    // of that what stands beside Line, where the mains wander
	Floor  float64    // what noise alone gives a fitted line
	square float64    // variance of what noise alone gives
}

// Stands tells whether the order stands out of the noise by itself.
func (o Order) Stands() bool { return o.Line.C != 0 }

// Lone is a steady line that is no order of the family.
type Lone struct{ Hz, Net, Q float64 }

// Family is what a spectrum tells of the mains.
type Family struct {
	Found    bool
	Unsteady bool    // there is one, but it comes and goes: speech, data or tones
	Hz       float64 // f0; without a family the place where it might have most
	Doubt    float64 // standard error of Hz
	Orders   []Order // that could be measured
	Hidden   []int   // that could not: another line stands there
	OnTone   float64 // an order that the test tone or a multiple of it hides, Hz; 0: none
	Twin     Lone    // a standard tone on an order, which may be the one or the other; Hz 0: none
	TwinIn   bool    // it counts as hum
	Others   []Lone  // steady lines that are no hum, the strongest first
	Alone    Lone    // the strongest of them that may be hum by itself; Hz 0: none
	maybe    float64 // mean square, at most, of all that may be
	margin   float64 // nats by which the family passed
}

// shortest is how many seconds the lines of a family take to be told apart.
const shortest = 0.09

// Find looks for the family.
func (in *Input) Find() Family {
	v := look(in.Spectrum, in.Rate, Top+100)
	if v.seconds < shortest || v.top() < 2*hiHz {
		return Family{}
	}
	list := v.list()
	merged := v.merge(list)
	out := append([]float64(nil), in.Tones...)
	for _, p := range list {
		out = append(out, p.hz)
	}
	g := v.quarters(out)
	m := measuring{in: in, v: v, g: g, list: merged, choice: in.choose(merged, g)}
	m.decide(len(list))
	m.measure()
	if m.f.Found && m.unsteady() {
		m.f.Found, m.f.Unsteady = false, true
	}
	m.lone()
	return m.f
}

// decide whether there is a family, and where its fundamental is.
func (m *measuring) decide(listed int) {
	if m.choice.score >= familyFrom {
		m.f.Found, m.f.margin = true, m.choice.score-familyFrom
		m.twin()
		m.place(m.choice.hz, m.choice.doubt, false)
		return
	}
	m.choice = choice{order: make([]int, len(m.list))}
	all := m.in.scan(m.g)
	switch {
	case all.score >= weakFrom && listed <= weakBeside:
		m.f.Found, m.f.margin = true, all.score-weakFrom
		m.place(all.hz, 0.04/m.v.seconds, true)
	case m.alone():
		m.f.Found, m.f.margin = true, aloneStands
		m.place(m.choice.hz, m.choice.doubt, false)
	default:
		m.place(all.most, 0, false)
	}
}

// measuring is one spectrum on its way to a Family.
type measuring struct {
	in     *Input
	v      *view
	g      *grid
	list   []steady
	choice choice
	places []place
	f      Family
}

// place is a fundamental with its share of the likelihood.
type place struct{ hz, share float64 }

// placeSteps is how many places are weighed to each side of the best.
const placeSteps = 14

// place weighs the places that the fundamental may have: the lines of the list say
// hz +- doubt, and the orders without a line of the list favour one place or another.
func (m *measuring) place(hz, doubt float64, chanced bool) {
	m.weigh(hz, doubt, func(at, z float64) float64 {
		l := m.g.favours(at, func(k int) bool { return m.lineOf(k) < 0 })
		if chanced {
			return l + chance(at, m.in.Mains)
		}
		return l - z*z/2
	})
}

// weigh gives the places around hz, z doubts away, their share of a likelihood.
func (m *measuring) weigh(hz, doubt float64, likelihood func(at, z float64) float64) {
	m.f.Hz, m.f.Doubt, m.places = hz, doubt, []place{{hz, 1}}
	if doubt == 0 {
		return
	}
	var logs []float64
	m.places = m.places[:0]
	most := math.Inf(-1)
	for i := -placeSteps; i <= placeSteps; i++ {
		z := 3.5 * float64(i) / placeSteps
		l := likelihood(hz+z*doubt, z)
		logs = append(logs, l)
		most = math.Max(most, l)
		m.places = append(m.places, place{hz: hz + z*doubt})
	}
	var all, mean, square float64
	for _, l := range logs {
		all += math.Exp(l - most)
	}
	for i := range m.places {
		p := &m.places[i]
		p.share = math.Exp(logs[i]-most) / all
		mean += p.share * p.hz
	}
	for _, p := range m.places {
		square += p.share * (p.hz - mean) * (p.hz - mean)
	}
	step := 3.5 * doubt / placeSteps
	m.f.Hz, m.f.Doubt = mean, math.Sqrt(square+step*step/12)
}

// lineOf is which line of the list is an order, -1: none.
func (m *measuring) lineOf(order int) int {
	for i, o := range m.choice.order {
		if o == order {
			return i
		}
	}
	return -1
}

// overRest is by how much a standard tone outshines all other orders where it is no order.
const overRest = 10.0

// twin looks for a standard tone on an order of two or more. On the second it counts as
// hum, since full-wave rectifiers put most there, and where the mains are told it is
// not doubted. Higher up one that outshines all other orders by 10 dB is the tone, if
// the others are a family without it. One that stands alone may be either.
func (m *measuring) twin() {
	for i, l := range m.list {
		o := m.choice.order[i]
		near, ok := m.in.standard(l.hz)
		if o < 2 || o == 2 && m.in.Mains != 0 || !ok || math.Abs(near-l.hz) > math.Max(0.3/m.v.seconds, subSpread*l.hz) {
			continue
		}
		rest := 0.0
		for j, other := range m.list {
			if j != i && m.choice.order[j] > 0 {
				rest += other.net
			}
		}
		if l.net <= overRest*rest {
			continue
		}
		m.f.Twin, m.f.TwinIn = Lone{l.hz, l.net, l.q}, true
		without := append(append([]steady(nil), m.list[:i]...), m.list[i+1:]...)
		if c := m.in.choose(without, m.g); o > 2 && c.score >= familyFrom {
			c.order = append(c.order[:i:i], append([]int{0}, c.order[i:]...)...)
			m.choice, m.f.TwinIn = c, false
		}
		return
	}
}

// alone takes a line for hum that stands alone where full-wave rectifiers of public
// mains put theirs, at twice 50 or 60 Hz to 0.4 %, if all else listed is 10 dB below it.
// A tone of 100.0 Hz looks the same, which twin then says.
func (m *measuring) alone() bool {
	for _, mains := range []float64{50, 60} {
		if len(m.list) == 0 || m.in.Mains != 0 && m.in.Mains != mains {
			continue
		}
		l := m.list[0]
		if math.Abs(l.hz-2*mains) > aloneOff*2*mains || l.q < aloneStands || len(m.list) > 1 && m.list[1].net*overRest > l.net {
			continue
		}
		m.choice.hz, m.choice.doubt, m.choice.order[0] = l.hz/2, l.tolerance(m.v.seconds, 2)/2, 2
		m.twin()
		return true
	}
	return false
}

const (
	aloneOff    = 0.004
	aloneStands = 30.0
)
