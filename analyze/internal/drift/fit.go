package drift

import (
	"math"
	"math/cmplx"
	"slices"
)

// fitter fits the course of phase to hops.
type fitter struct {
	hops  *hops
	most  int         // order
	basis [][]float64 // of that order
}

// fitted is a course by maximum likelihood.
type fitted struct {
	*system
	order int
	coef  []float64
	rss   float64 // of the phase, rad^2
}

// likeliest starts at least squares on the unwrapped phase and takes Gauss-Newton steps
// on the hops themselves: in white noise that is maximum likelihood (Kay 1993).
func (f *fitter) likeliest(order int, steps []int) fitted {
	h := f.hops
	out := fitted{system: systemOf(f.basis[:order+1], steps), order: order}
	out.coef = out.solve(h.phase)
	away := make([]float64, len(h.y))
	for round := range 5 {
		in := make([]float64, len(h.y))
		back := make([]complex128, len(h.y))
		for i, p := range out.values(out.coef) {
			back[i] = h.y[i] * cmplx.Rect(1, h.turn[i]-p)
			in[i] = real(back[i])
		}
		amp := math.Max(median(in), 0.3*h.amp)
		out.rss = 0
		for i, v := range back {
			away[i] = phaseOf(v, amp, 9*h.sigma)
			if e := imag(v) / amp; out.count[i] {
				if real(v) <= 0 {
					e = 1
				}
				out.rss += e * e
			}
		}
		if round == 4 {
			break
		}
		for k, d := range out.solve(away) {
			out.coef[k] += d
		}
	}
	return out
}

// phaseOf is how far a hop is turned, held at what an outlier may say.
func phaseOf(v complex128, amp, most float64) float64 {
	e := imag(v) / amp
	if math.Abs(e) > most {
		return math.Max(-1.5, math.Min(1.5, cmplx.Phase(v)))
	}
	return e
}

// choose raises the order while each step up explains more than chance.
func (f *fitter) choose(steps []int) fitted {
	best := f.likeliest(1, steps)
	for order := 2; order <= f.most; order++ {
		next := f.likeliest(order, steps)
		free := math.Max(1, float64(len(f.hops.y)-order-len(steps)))
		if (best.rss-next.rss)/(next.rss/free)/longRun/float64(order-best.order) > orderF {
			best = next
		}
	}
	return best
}

// significant drops steps that stand out by less than leastZ, and chooses
// the order again.
func (f *fitter) significant(best fitted) fitted {
	steps := best.steps
	for len(steps) > 0 {
		z := f.standsOut(solution{system: best.system, coef: best.turned()})
		k := slices.Index(z, slices.Min(z))
		if z[k] >= leastZ {
			break
		}
		steps = slices.Delete(slices.Clone(steps), k, k+1)
		best = f.likeliest(best.order, steps)
	}
	return f.choose(steps)
}

// turned are the coefficients with the steps within +-pi.
func (f fitted) turned() []float64 {
	c := slices.Clone(f.coef)
	for i := f.order + 1; i < len(c); i++ {
		c[i] = wrap(c[i])
	}
	return c
}

const (
	leastZ    = 5
	leastTurn = 3 * math.Pi / 180 / 1000 // rad a hertz of the tone: 0.4 samples at 48 kHz
	mostASec  = 8
	// Of what chance reaches once in 10,000: 1 of 360 recordings with slips in white noise
	// passed it, and most of those whose phase walks.
	mostColour = 0.9
	levelHops  = 15 // before and after a step, over which levels are compared
)

// claims are the steps that a card made: a level and a noise that stay as they are, and
// between the steps nothing but white noise. Phase noise and flutter look like stairs,
// too, but leave colour; phase-shift keying turns by quarters and halves of a cycle.
func (f *fitter) claims(best fitted, found found) []int {
	h := f.hops
	turns := best.turned()[best.order+1:]
	z := f.standsOut(solution{system: best.system, coef: best.turned()})
	if len(z) == 0 || found.colour > mostColour || found.ratio > 1.4+0.005*median(z) {
		return nil
	}
	level := math.Max(0.3, 6*h.scatter*math.Sqrt(2*math.Pi/2*longRun/levelHops))
	hz := slopeAt(best.coef[:best.order+1], 0) / math.Pi / h.seconds
	var out []int
	var sizes []float64
	for i, k := range best.steps {
		plain := h.levelChange(k) <= level && found.beside(k, h.sigma) <= 1.4+0.005*z[i]
		if plain && z[i] >= stepZ && math.Abs(turns[i]) > leastTurn*hz {
			out = append(out, k)
			sizes = append(sizes, math.Abs(turns[i]))
		}
	}
	if float64(len(out)) > mostASec*h.seconds || 2*len(out) < len(found.steps) || keyed(sizes) {
		return nil
	}
	return out
}

// levelChange is by how many dB the level differs on both sides of a step.
func (h *hops) levelChange(k int) float64 {
	before, after := h.level[max(0, k-levelHops):k], h.level[min(len(h.level), k+skip):min(len(h.level), k+skip+levelHops)]
	if len(before) < segment || len(after) < segment {
		return 0
	}
	return math.Abs(median(after) - median(before))
}

// beside is the rms of what is left next to a step, over the scatter of hops.
func (f found) beside(k int, sigma float64) float64 {
	i, ok := slices.BinarySearch(f.steps, k)
	if !ok {
		return math.Inf(1)
	}
	from, to := 0, len(f.rest)
	if i > 0 {
		from = f.steps[i-1]
	}
	if i+1 < len(f.steps) {
		to = f.steps[i+1]
	}
	sum, n := 0.0, 0.0
	for j := from; j < to; j++ {
		if f.count[j] {
			sum += f.rest[j] * f.rest[j]
			n++
		}
	}
	return math.Sqrt(sum/math.Max(1, n-2)) / sigma
}

// keyed tells phase-shift keying: two or more turns, all of half a cycle, or three or
// more, all of a quarter or half.
func keyed(turns []float64) bool {
	const near = 5 * math.Pi / 180
	halves, quarters := len(turns) >= 2, len(turns) >= 3
	for _, a := range turns {
		halves = halves && math.Pi-a < near
		quarters = quarters && math.Abs(math.Remainder(a, math.Pi/2)) < near && a > math.Pi/4
	}
	return halves || quarters
}
