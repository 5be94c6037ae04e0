package mains

import (
	"math"
	"slices"
)

// Orders of the mains that count as hum: Top Hz at most, and no more than orders.
const (
	Top    = 625.0
	orders = 12
)

// The mains of the world, and how far from them a fundamental is looked for.
const (
	loHz, hiHz = 45, 65 // inverters and generators
	nearMains  = 2.6    // where the mains are told
)

// chance is the logarithm of the density, per Hz, of the fundamental before anything
// was heard: a public grid keeps to 0.06 Hz most of the time, a generator to 1 Hz,
// an inverter of its own stands anywhere. (Shares: by judgement, no source.)
func chance(hz, mains float64) float64 {
	p := 0.0
	for _, m := range []float64{50, 60} {
		share := 0.5
		if mains != 0 {
			share = map[bool]float64{true: 1}[m == mains]
		}
		z := math.Abs(hz - m)
		d := 0.85 * math.Exp(-z*z/2/0.06/0.06) / 0.06 / math.Sqrt(2*math.Pi)
		if z < 1 {
			d += 0.10 / 2
		}
		if z < nearMains {
			d += 0.05 / (2 * nearMains)
		}
		p += share * d
	}
	if mains == 0 {
		p *= 0.93
		if hz >= loHz && hz <= hiHz {
			p += 0.07 / (hiHz - loHz)
		}
	}
	return math.Log(math.Max(p, 1e-12))
}

func span(mains float64) (lo, hi float64) {
	if mains != 0 {
		return mains - nearMains, mains + nearMains
	}
	return loHz, hiHz
}

// Densities, per Hz, of steady lines that are no hum (by judgement): hardly any below
// the lowest sub-audible tone; above it other tones, and three in ten recordings have
// one of the standard sub-audible tones, which keep to 0.15 %.
const (
	othersLow  = 1 / 30000.0
	othersHigh = 1 / 150.0
	lowEnd     = 65.7
	subShare   = 0.3
	subSpread  = 0.0015
	subTop     = 256
)

func (in *Input) others(hz float64) float64 {
	d := othersHigh
	if hz < lowEnd {
		d = othersLow
	}
	if near, ok := in.standard(hz); ok && hz < subTop {
		sd := subSpread * hz
		z := (near - hz) / sd
		d += subShare / float64(len(in.Standard)) * math.Exp(-z*z/2) / sd / math.Sqrt(2*math.Pi)
	}
	return d
}

// standard is the standard tone nearest to a frequency.
func (in *Input) standard(hz float64) (near float64, ok bool) {
	for _, s := range in.Standard {
		if !ok || math.Abs(s-hz) < math.Abs(near-hz) {
			near, ok = s, true
		}
	}
	return near, ok
}

// choice is a fundamental with the lines that are its orders.
type choice struct {
	score float64 // nats by which the family is likelier than lines that have nothing to do with each other
	hz    float64
	doubt float64 // standard error of hz
	order []int   // of each line of the list, 0: none
	count int
}

// A family is one from this many nats on.
const familyFrom = 3.0

// choose finds the fundamental that explains the lines best. Every line over every
// order is tried; the fundamental is then the weighted mean of the lines that fit.
func (in *Input) choose(list []steady, g *grid) choice {
	best := choice{score: math.Inf(-1)}
	lo, hi := span(in.Mains)
	for _, anchor := range list {
		for k := 1; k <= orders; k++ {
			hz := anchor.hz / float64(k)
			if hz < lo || hz > hi {
				continue
			}
			c := in.fit(list, g.v.seconds, hz, anchor.doubt/float64(k))
			if c.count == 0 || c.hz < lo-0.2 || c.hz > hi+0.2 {
				continue
			}
			c.score = in.score(list, g, c)
			if c.score > best.score {
				best = c
			}
		}
	}
	return best
}

// tolerance is how far a line may stand from its place by its own doubt, by the
// recording's resolution, and by what mains do that are not quite still.
func (s steady) tolerance(seconds float64, order int) float64 {
	return math.Hypot(s.doubt, 0.04/seconds+0.0003*float64(order))
}

// fits is by how many tolerances a line may be off.
const fits = 3.5

// fit finds which lines are orders of a fundamental near hz, and moves it to their
// mean, three times; first the anchor's own doubt counts as well.
func (in *Input) fit(list []steady, seconds, hz, doubt float64) choice {
	c := choice{hz: hz, order: make([]int, len(list))}
	for pass := range 4 {
		var sum, weight float64
		taken := [orders + 1]int{}
		c.count = 0
		for i, l := range list {
			c.order[i] = 0
			o := max(1, int(math.Round(l.hz/c.hz)))
			if o > orders || float64(o)*c.hz > Top {
				continue
			}
			tol := l.tolerance(seconds, o)
			wide := tol
			if pass == 0 {
				wide = math.Hypot(tol, float64(o)*doubt)
			}
			if math.Abs(l.hz-float64(o)*c.hz) > fits*wide || taken[o] > 0 {
				continue // the list falls in power: an order is its strongest line
			}
			taken[o]++
			c.order[i] = o
			c.count++
			w := float64(o*o) / tol / tol
			sum += w * l.hz / float64(o)
			weight += w
		}
		if c.count == 0 {
			return c
		}
		if pass < 3 {
			c.hz, c.doubt = sum/weight, 1/math.Sqrt(weight)
		}
	}
	return c
}

// score compares: the lines are orders of one fundamental, each order with a chance of
// a half (to the fourth) or 0.3, against lines that stand anywhere by their own density,
// or as densely as others stand beside them.
// Weak lines of the family count by their favour, averaged over the doubt of the fundamental.
func (in *Input) score(list []steady, g *grid, c choice) float64 {
	root := math.Sqrt(2 * math.Pi)
	score := chance(c.hz, in.Mains) + math.Log(root*c.doubt)
	lowest := orders + 1
	for i, l := range list {
		o := c.order[i]
		if o == 0 {
			continue
		}
		tol := l.tolerance(g.v.seconds, o)
		z := (l.hz - float64(o)*c.hz) / tol
		p := 0.3
		if o <= 4 {
			p = 0.5
		}
		density := in.others(l.hz) + float64(l.crowd)/(2*crowdHz)
		score += math.Log(p/density/root/tol) - z*z/2
		lowest = min(lowest, o)
	}
	if lowest > 2 { // rectifiers and pick-up put most into the first two
		score -= 5
	}
	if c.count == 1 {
		score--
		if lowest > 1 {
			score -= 2
		}
	}
	doubt := math.Min(c.doubt, 0.3/g.v.seconds)
	var terms, weights [5]float64
	for i := range terms {
		off := 0.6 * float64(i-2)
		weights[i] = math.Exp(-off * off / 2)
		for k := 1; k <= orders && float64(k)*c.hz <= Top; k++ {
			if !slices.Contains(c.order, k) {
				terms[i] += g.favour[g.index(float64(k)*(c.hz+off*doubt))]
			}
		}
	}
	return score + logMean(terms[:], weights[:])
}

// logMean is the logarithm of the weighted mean of exp of the terms.
func logMean(terms, weights []float64) float64 {
	most := slices.Max(terms)
	var sum, all float64
	for i, t := range terms {
		sum += weights[i] * math.Exp(t-most)
		all += weights[i]
	}
	return most + math.Log(sum/all)
}

// A family of weak lines, none of which stands by itself, is one from this many nats
// on and beside no more than this many other lines.
const (
	weakFrom   = 9.0
	weakBeside = 8
)

// scanned is what all fundamentals tried in turn say.
type scanned struct {
	hz    float64 // that favoured most
	score float64 // logarithm of the mean, over all, of what the orders together favour
	most  float64 // that at which the orders together have most power over their floors
}

// scan looks for a family without a line of its own.
func (in *Input) scan(g *grid) scanned {
	lo, hi := span(in.Mains)
	step := 1 / (4 * orders * g.v.seconds)
	sums := make([]float64, int((hi-lo)/step))
	at, best, out, most := 0, math.Inf(-1), scanned{}, math.Inf(-1)
	for i := range sums {
		f := lo + float64(i)*step
		sum, over := chance(f, in.Mains), 0.0
		for k := 1.0; k <= orders && k*f <= Top; k++ {
			n := g.index(k * f)
			sum += g.favour[n]
			over += g.over[n]
		}
		if sums[i] = sum; sum > best {
			at, best = i, sum
		}
		if over > most {
			most, out.most = over, f
		}
	}
	all := 0.0
	for _, s := range sums {
		all += math.Exp(s - best)
	}
	out.hz, out.score = lo+float64(at)*step, best+math.Log(all*step)
	return out
}

// favours is what the orders of a fundamental favour together.
func (g *grid) favours(hz float64, ask func(order int) bool) float64 {
	sum := 0.0
	for k := 1; k <= orders && float64(k)*hz <= Top; k++ {
		if ask(k) {
			sum += g.favour[g.index(float64(k)*hz)]
		}
	}
	return sum
}
