package segment

import (
	"math"
	"slices"
)

// How borders are placed.
const (
	doubt      = 5e-4 // chance that a border lies beyond either end of its range
	firm       = 1e-4 // the same for the range in which features aside may place it
	tails      = 4    // degrees of freedom of Student's t that stands for the blocks of a stretch
	strayShare = 0.03 // of the blocks that may be anything
	strayRange = 80   // scatters over which those are spread
	clear      = 8    // scatters by which a feature changes so clearly that its own time shows
	batch      = 8    // blocks that are averaged to see how much a mean scatters
	few        = 3    // for how many blocks a scatter is known too badly to be trusted
)

// borders places the borders of a cut. What both sides are like is taken first
// from all of their blocks, then from those that surely are theirs.
func borders(x [][]float64, s []Stretch, o Options) Cut {
	c := Cut{Stretches: slices.Clone(s), Borders: make([]Border, len(s)-1)}
	for range 2 {
		like := make([][]likeness, len(s))
		for i, t := range c.Stretches {
			like[i] = likenesses(x, inner(t), o)
		}
		placed := slices.Clone(c.Stretches)
		for i := range c.Borders {
			from, to := s[i].From+s[i].Len()/4, s[i+1].To-s[i+1].Len()/4
			main := len(x[0]) - o.Aside
			b := place(x, from, to, like[i][:main], like[i+1][:main], firm)
			if o.Aside > 0 {
				from, to = b.Low, b.High
			}
			b = place(x, from, to, like[i], like[i+1], doubt)
			b.span(x, s[i], s[i+1], like[i][:main], like[i+1][:main])
			placed[i].To, placed[i+1].From = max(b.Low, placed[i].From), b.High
			c.Borders[i] = b
		}
		last := &placed[len(placed)-1]
		last.To = max(last.From, last.To)
		c.Stretches = placed
	}
	compare(x, c, o)
	return c
}

// inner is a stretch without what lies close to its ends.
func inner(s Stretch) Stretch {
	cut := max(0, s.Len()) / 8
	return Stretch{s.From + cut, s.To - cut}
}

// likeness is what a feature is like within a stretch.
type likeness struct{ middle, scatter float64 }

func likenesses(x [][]float64, s Stretch, o Options) []likeness {
	out := make([]likeness, len(x[0]))
	for f := range out {
		out[f].middle, out[f].scatter = Middle(x, s, f)
		out[f].scatter = math.Max(out[f].scatter, leastScatter)
		if f < len(o.Floor) {
			out[f].scatter = math.Max(out[f].scatter, o.Floor[f])
		}
	}
	return out
}

// place finds where the blocks from one to another stop being like a and begin
// to be like b: the posterior of the border's place, all places being as likely
// before. Blocks that are like neither, such as the noise of contacts, say
// nothing, so the range spans them.
func place(x [][]float64, from, to int, a, b []likeness, doubt float64) Border {
	logs := make([]float64, to-from+1)
	most := 0.0
	for i := from; i < to; i++ {
		d := 0.0
		for f := range a {
			v := x[i][f]
			wide := strayRange * math.Max(a[f].scatter, b[f].scatter)
			d += a[f].log(v, wide) - b[f].log(v, wide)
		}
		logs[i-from+1] = logs[i-from] + d
		most = math.Max(most, logs[i-from+1])
	}
	total := 0.0
	for i := range logs {
		logs[i] = math.Exp(logs[i] - most)
		total += logs[i]
	}
	r := Border{Low: from, At: from, High: to}
	sum := 0.0
	for i, p := range logs {
		if before := sum; before <= doubt*total {
			r.Low = from + i
		}
		if sum < total/2 {
			r.At = from + i
		}
		sum += p
		if sum >= (1-doubt)*total {
			r.High = from + i
			break
		}
	}
	return r
}

// span widens the range of a border to where each feature that changes clearly
// does so: they need not change at the same time.
func (b *Border) span(x [][]float64, before, behind Stretch, a, c []likeness) {
	from, to := before.From+before.Len()/4, behind.To-behind.Len()/4
	for f := range a {
		if math.Abs(a[f].middle-c[f].middle) < clear*math.Max(a[f].scatter, c[f].scatter) {
			continue
		}
		one := make([][]float64, to)
		for i := from; i < to; i++ {
			one[i] = x[i][f : f+1]
		}
		own := place(one, from, to, a[f:f+1], c[f:f+1], doubt)
		b.Low, b.High = min(b.Low, own.Low), max(b.High, own.High)
	}
}

// log is the logarithm of the density of v, Student's t with some strays.
func (l likeness) log(v, wide float64) float64 {
	z := (v - l.middle) / l.scatter
	const scale = 0.375 // of Student's t with 4 degrees of freedom, at its middle
	t := scale * math.Pow(1+z*z/tails, -(tails+1)/2.0) / l.scatter
	return math.Log((1-strayShare)*t + strayShare/wide)
}

// compare says for each border by how much its sides differ, and how surely.
func compare(x [][]float64, c Cut, o Options) {
	for i := range c.Borders {
		c.Borders[i].Change = make([]float64, len(x[0]))
	}
	for f := range len(x[0]) - o.Aside {
		means := make([]mean, len(c.Stretches))
		var memory []float64
		for i, s := range c.Stretches {
			if means[i] = meanOf(x, s, f, o); means[i].memory > 0 {
				memory = append(memory, means[i].memory)
			}
		}
		factor := 1.0
		if len(memory) > 0 {
			factor = math.Max(1, median(memory))
		}
		for i := range c.Borders {
			b, m, n := &c.Borders[i], means[i], means[i+1]
			b.Change[f] = n.middle - m.middle
			if c.Stretches[i].Len() < max(2, o.Min/2) || c.Stretches[i+1].Len() < max(2, o.Min/2) {
				continue // one side has too little that is surely its own
			}
			d := n.value - m.value
			b.Errors += d * d / ((m.square + n.square) * factor)
		}
	}
	for i := range c.Borders {
		c.Borders[i].Errors = math.Sqrt(c.Borders[i].Errors)
	}
}

// mean is that of a feature within a stretch.
type mean struct {
	value, middle float64
	square        float64 // of its standard error, if blocks were independent
	memory        float64 // by what factor means over some blocks scatter more than that says; 0: not known
}

// meanOf is the mean of a feature in a stretch, what strays being held back.
func meanOf(x [][]float64, s Stretch, f int, o Options) mean {
	if s.Len() < 2 {
		return mean{square: math.Inf(1)}
	}
	middle, scatter := Middle(x, s, f)
	floor := leastScatter
	if f < len(o.Floor) {
		floor = math.Max(floor, o.Floor[f])
	}
	scatter = math.Max(scatter, floor)
	v := make([]float64, 0, s.Len())
	sum, squares := 0.0, 0.0
	for _, b := range x[s.From:s.To] {
		d := math.Max(-heldAt*scatter, math.Min(heldAt*scatter, b[f]-middle))
		v = append(v, d)
		sum += d
		squares += d * d
	}
	n := float64(len(v))
	value := sum / n
	variance := math.Max(floor*floor, (squares-n*value*value)/(n-1))
	m := mean{value: middle + value, middle: middle, square: variance / n * (1 + few/n)}
	batches := len(v) / batch
	if batches < 3 {
		return m
	}
	spread := 0.0
	for k := range batches {
		part := 0.0
		for _, d := range v[k*batch : (k+1)*batch] {
			part += d / batch
		}
		spread += (part - value) * (part - value)
	}
	m.memory = spread / float64(batches-1) * batch / variance
	return m
}

// Middle is the median of a feature within a stretch and its scatter, the
// median distance from that times 1.4826 (a normal distribution's standard
// deviation).
func Middle(x [][]float64, s Stretch, f int) (middle, scatter float64) {
	if s.Len() < 1 {
		return 0, 0
	}
	v := make([]float64, 0, s.Len())
	for _, b := range x[s.From:s.To] {
		v = append(v, b[f])
	}
	middle = median(v)
	for i := range v {
		v[i] = math.Abs(v[i] - middle)
	}
	return middle, 1.4826 * median(v)
}
