package mains

import (
	"cmp"
	"math"
	"slices"

	"hisspoint/analyze/internal/scatter"
)

const (
	hiddenBy     = 1.5   // in 1/T, how close to an order another line hides it
	hiddenByTone = 2.0   // and a multiple of the test tone, whose own modulation stands beside it
	wide         = 300   // floors from which one line shows that it is not still
	excess       = 4     // standard deviations of noise from which it does
	nearBins     = 3.0   // in 1/T, how far to each side that is looked for first
	wideBins     = 12.0  // and at most
	wideShare    = 0.006 // or as a share of its frequency
	adoptBins    = 4.0   // in 1/T, how close another line is taken for a piece
)

// measure measures all orders at once, and notes the lines that are none.
func (m *measuring) measure() {
	var skip []float64
	m.adopt()
	for i, l := range m.list {
		if m.choice.order[i] != 0 {
			continue
		}
		m.f.Others = append(m.f.Others, Lone{l.hz, l.net, l.q})
		for _, p := range l.pieces {
			skip = append(skip, p.hz)
		}
	}
	slices.SortFunc(m.f.Others, func(a, b Lone) int { return cmp.Compare(b.Net, a.Net) })
	for k := 1; k <= orders && float64(k)*m.f.Hz <= math.Min(Top, m.v.top()); k++ {
		hz := float64(k) * m.f.Hz
		toned := m.closer(hz, m.in.Tones, hiddenByTone)
		if toned {
			m.f.OnTone = hz
		}
		if toned || m.closer(hz, skip, hiddenBy) {
			m.f.Hidden = append(m.f.Hidden, k)
			continue
		}
		o := Order{Order: k, Hz: hz}
		var bins float64
		o.Floor, bins = m.v.noise(hz, append(skip, m.in.Tones...))
		o.square = o.Floor * o.Floor * (1 + 1/math.Max(1, bins))
		if i := m.lineOf(k); i >= 0 {
			m.listed(&o, m.list[i])
		} else {
			for _, p := range m.places {
				o.Net += p.share * (m.v.at(float64(k)*p.hz) - o.Floor)
			}
		}
		m.f.Orders = append(m.f.Orders, o)
	}
	m.wander()
}

// adopted is the order of a line that is a part of another.
const adopted = -1

// adopt makes weak lines close to an order pieces of it: what mains that wander put
// further away.
func (m *measuring) adopt() {
	for i := range m.list {
		if m.choice.order[i] <= 0 {
			continue
		}
		l := &m.list[i]
		for j, o := range m.list {
			if m.choice.order[j] == 0 && o.net < weakPiece*l.net && math.Abs(o.hz-l.hz) < math.Max(wideShare*l.hz, adoptBins/m.v.seconds) {
				m.choice.order[j] = adopted
				l.pieces = append(l.pieces[:len(l.pieces):len(l.pieces)], o.pieces...)
			}
		}
	}
}

func (m *measuring) closer(hz float64, to []float64, by float64) bool {
	return slices.ContainsFunc(to, func(t float64) bool { return math.Abs(t-hz) < by/m.v.seconds })
}

// listed measures an order that is a line of the list. Fitted in amplitude, phase and
// frequency it has the power of the line and 3/2 floors of noise. What a line that
// wanders or is modulated leaves beside its fit is added where it shows, in the bins
// close to it, or in twice, four times as many, as far as it goes on.
func (m *measuring) listed(o *Order, l steady) {
	first := l.pieces[0]
	o.Hz, o.Line = l.hz, first.Line
	if len(l.pieces) > 1 { // one fit to all of it: what it leaves is at right angles to it
		for _, p := range l.pieces {
			m.v.putBack(p.Line, p.cut)
		}
		o.Line = m.v.s.FitNear(first.V)
		m.v.s.Remove(o.Line, first.cut)
	}
	o.Net = o.Line.Power() - 1.5*o.Floor
	if first.q > wide || len(l.pieces) > 1 {
		reach := m.v.bin(Reach(l.hz, m.v.seconds))
		for half := m.v.bin(nearBins / m.v.seconds); ; half = math.Min(2*half, reach) {
			over, sd := m.v.beside(l.hz, half, o.Floor)
			if over > excess*sd && over > o.Skirt+excess*sd/2 {
				m.addSkirt(o, over, sd)
			}
			if half >= reach {
				break
			}
		}
		if o.Skirt > 0 {
			m.leak(o, reach)
		}
	}
	if len(l.pieces) > 1 {
		m.v.putBack(o.Line, first.cut)
		for _, p := range l.pieces {
			m.v.s.Remove(p.Line, p.cut)
		}
	}
}

// addSkirt counts what stands beside an order, in place of what was counted before.
func (m *measuring) addSkirt(o *Order, over, sd float64) {
	o.Net += over - o.Skirt
	o.Skirt = over
	o.square += sd * sd
}

// leak adds what a line that wanders puts further away than is looked for. At its ends a
// recording of it does not meet itself: a jump of the square J leaves J / (2 pi^2 k) beyond
// k bins of the transform, so beyond the reach as much as in the outer half of it.
func (m *measuring) leak(o *Order, reach float64) {
	all, sd := m.v.beside(o.Hz, reach, o.Floor)
	inner, in := m.v.beside(o.Hz, reach/2, o.Floor)
	o.Net += all - inner
	o.square += sd*sd - in*in + (all-inner)*(all-inner)/4
}

// wander looks at all orders that stand well at once: what none of them shows by itself
// the family may.
func (m *measuring) wander() {
	half := m.v.bin(nearBins / m.v.seconds)
	var sum, variance float64
	each := func(do func(o *Order, over, sd float64)) {
		for i := range m.f.Orders {
			if o := &m.f.Orders[i]; o.Stands() && o.Skirt == 0 && len(m.list[m.lineOf(o.Order)].pieces) == 1 && o.Net > wide/3*o.Floor {
				over, sd := m.v.beside(o.Hz, half, o.Floor)
				do(o, over, sd)
			}
		}
	}
	each(func(o *Order, over, sd float64) {
		sum += over / o.Floor
		variance += sd * sd / o.Floor / o.Floor
	})
	shown := slices.ContainsFunc(m.f.Orders, func(o Order) bool { return o.Skirt > 0 })
	if shown || sum > excess*math.Sqrt(variance) {
		each(m.addSkirt)
	}
}

// Reach is how far to each side a line of mains that wander is looked for, in Hz.
func Reach(hz, seconds float64) float64 { return math.Max(wideShare*hz, wideBins/seconds) }

// beside is the power within half bins of a frequency beyond that of the noise, and
// the standard deviation that noise gives it.
func (v *view) beside(hz, half, floor float64) (over, sd float64) {
	lo, hi := max(1, int(math.Ceil(v.bin(hz)-half))), min(len(v.s.R)-1, int(v.bin(hz)+half))
	for k := lo; k <= hi; k++ {
		over += v.power(k) - floor
	}
	share := float64(v.s.N) / float64(v.s.M)
	return over * share, floor * math.Sqrt(float64(hi-lo+1)*share)
}

const (
	comesAndGoes = 0.3 // relative variance of a line's power over eight parts
	parts        = 8
	plain        = 20  // floors that a line must stand to tell
	crowded      = 0.1 // share of a line's power that others beside it may have
)

// unsteady tells whether the orders come and go, as speech, data and test tones do:
// most of their power is in lines that do, or that several others stand beside, or
// many other lines have more.
func (m *measuring) unsteady() bool {
	var all, moving, others float64
	for _, o := range m.f.Others {
		others += o.Net
	}
	for _, o := range m.f.Orders {
		if !o.Stands() || o.Net < plain*o.Floor {
			continue
		}
		l := m.list[m.lineOf(o.Order)]
		all += o.Net
		if l.crowd > 0 && l.beside > crowded*o.Net || m.varies(l) > comesAndGoes {
			moving += o.Net
		}
	}
	return moving > all/2 || len(m.f.Others) > weakBeside && others > all
}

// varies is the relative variance of a line's power over eight parts of the recording,
// from the bins around it.
func (m *measuring) varies(l steady) float64 {
	half := int(math.Ceil(m.v.bin(math.Max(8/m.v.seconds, Reach(l.hz, m.v.seconds)))))
	at := int(m.v.bin(l.hz) + 0.5)
	lo, hi := max(1, at-half), min(len(m.v.s.R)-1, at+half)
	bins := append([]complex128(nil), m.v.s.R[lo:hi+1]...)
	for _, p := range l.pieces {
		m.v.s.AddTo(bins, lo, p.Line)
	}
	const steps = 4 * parts
	var powers [parts]float64
	for t := range steps {
		angle := 2 * math.Pi * (float64(t) + 0.5) / steps * float64(m.v.s.N) / float64(m.v.s.M)
		sn, cs := math.Sincos(angle)
		turn, w, sum := complex(cs, sn), complex(1, 0), complex(0, 0)
		for _, x := range bins {
			sum += x * w
			w *= turn
		}
		powers[t*parts/steps] += square(sum)
	}
	var mean, dev float64
	for _, p := range powers {
		mean += p / parts
	}
	for _, p := range powers {
		dev += (p - mean) * (p - mean) / parts
	}
	return dev / (mean * mean)
}

// Level is what several stretches of one recording tell together.
type Level struct {
	Found     bool
	Unsteady  bool
	Hz        float64
	Value     float64 // mean square of all orders; 0: no family
	Low, High float64 // 95 %; without a family High is what it has at most
	Lines     []Total // orders that stand
	Twin      Lone    // as of Family
	TwinIn    bool
	Alone     Lone // without a family the strongest line that may be hum, which High holds
	OnTone    float64
}

// Total is one order over all stretches.
type Total struct {
	Order    int
	Hz, Net  float64
	Variance float64
}

// shown is the share of a recording that has to show hum.
const shown = 0.25

// shows tells whether a recording has hum of which a share was found in its stretches.
// Each of n has its own chance to be wrong: unless more than half show it, one has to
// do so by ln n nats more.
func shows(fs []Family, found float64) bool {
	sure := func(f Family) bool { return f.Found && f.margin > math.Log(float64(len(fs))) }
	return found > 0.5 || found > shown && slices.ContainsFunc(fs, sure)
}

// telling is the lower over the upper end from which there is a value at all: an
// interval of 20 dB says no more than a bound.
const telling = 0.01

// Join joins the families of stretches, each with its share of the recording.
//
// A recording has hum if more than a quarter of it shows it. The powers of an order are
// averaged over the stretches that do: a weak family is lost in some, and what stands
// where it is lost is not known.
func Join(fs []Family, shares []float64) Level {
	var out Level
	var found, unsteady, weight float64
	for i, f := range fs {
		if f.Found {
			found += shares[i]
		}
		if f.Unsteady {
			unsteady += shares[i]
		}
		if f.Twin.Net > out.Twin.Net {
			out.Twin, out.TwinIn = f.Twin, f.TwinIn
		}
	}
	out.Found = shows(fs, found)
	out.Unsteady = !out.Found && unsteady+found > 0.5
	maybe := 0.0
	all, strong, sum := out.orders(fs, shares)
	for i, f := range fs {
		maybe += shares[i] * f.maybe
		out.OnTone = math.Max(out.OnTone, f.OnTone)
		if f.Found {
			w := shares[i] / math.Max(1e-12, f.Doubt*f.Doubt)
			out.Hz += w * f.Hz
			weight += w
		}
	}
	if weight > 0 {
		out.Hz /= weight
	}
	out.Low, out.High = all.Interval95()
	if !out.Found {
		out.Low, out.High, out.Hz = 0, out.High+maybe, 0
		for _, f := range fs {
			if f.Alone.Net > out.Alone.Net {
				out.Alone = f.Alone
			}
		}
		return out
	}
	if low, _ := strong.Interval95(); len(out.Lines) > 0 {
		out.Low = math.Max(out.Low, low)
	}
	out.High = math.Max(out.High, out.Low)
	out.Value = math.Max(out.Low, math.Min(sum, out.High))
	if !out.TwinIn { // what may be the tone alone may be hum in part or whole
		out.High += out.Twin.Net
	}
	if out.Low < telling*out.High {
		out.Found = false
	}
	return out
}

// joined is one order on its way through the stretches.
type joined struct {
	share, net, floor, square, hz, weight float64
	stands                                bool
}

func (j *joined) add(o Order, w float64) {
	j.share += w
	j.net += w * o.Net
	j.floor += w * w * o.Floor
	j.square += w * w * o.square
	j.stands = j.stands || o.Stands()
	p := w * math.Max(0, o.Net)
	j.hz += p * o.Hz
	j.weight += p
}

// even makes means of sums where the order was measured in some stretches only.
func (j *joined) even() {
	k := 1 / j.share
	j.net *= k
	j.floor *= k * k
	j.square *= k * k
}

// orders adds up each order over the stretches that count: all of them with their sum,
// and those that stand.
func (out *Level) orders(fs []Family, shares []float64) (all, strong scatter.Lines, sum float64) {
	last := 0
	for _, f := range fs {
		for _, o := range f.Orders {
			last = max(last, o.Order)
		}
	}
	for k := 1; k <= last; k++ {
		t := joined{}
		for i, f := range fs {
			for _, o := range f.Orders {
				if o.Order == k && f.Found == out.Found {
					t.add(o, shares[i])
				}
			}
		}
		if t.share == 0 {
			continue
		}
		t.even()
		all.AddMean(t.net, t.floor, t.square)
		sum += t.net
		if t.stands && out.Found && t.net > 0 {
			strong.AddMean(t.net, t.floor, t.square)
			v := 2*t.net*t.floor + t.square
			out.Lines = append(out.Lines, Total{Order: k, Hz: t.hz / t.weight, Net: t.net, Variance: v})
		}
	}
	return all, strong, sum
}
