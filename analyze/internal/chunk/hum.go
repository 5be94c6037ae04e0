package chunk

import (
	"math"
)

// humTop is the highest multiple of the mains frequency that counts as hum, in Hz.
const humTop = 600

// humLine is one line of the mains family.
type humLine struct {
	line
	order int
	mean  float64 // mean square of the line, mains drift and all, less the noise under it
}

// fitHum finds which mains family stands out, takes its lines out and measures them.
func (c *chunkWork) fitHum() {
	best, families := 0.0, []float64{50, 60}
	if c.p.Mains != 0 {
		families = []float64{c.p.Mains}
	}
	for _, f := range families {
		if e := c.familyEnergy(f); e > best {
			best, c.out.Mains = e, f
		}
	}
	if c.out.Mains == 0 {
		return
	}
	for order := 1; float64(order)*c.out.Mains <= humTop; order++ {
		k, ok := c.humBin(c.out.Mains, order)
		if !ok {
			continue
		}
		l := c.around(c.s.FitNear(c.cycles(k)))
		if l.stands() < minStand || math.Abs(l.Hz-float64(order)*c.out.Mains) > c.humReach(order) {
			continue
		}
		c.remove(l)
		c.out.hum = append(c.out.hum, humLine{line: l, order: order})
	}
	c.loneLine()
}

// loneLine tells a sub-audible tone from hum: a single line on the third multiple
// of the mains or higher, with no other of the family, is no hum. One on the
// first or second multiple may be either, and counts as hum.
func (c *chunkWork) loneLine() {
	if len(c.out.hum) != 1 || c.out.hum[0].order <= 2 || c.out.hum[0].Hz > 299 || c.out.Sub.Hz > 0 {
		return
	}
	c.out.Sub, c.out.hum, c.out.Mains = c.out.hum[0].line, nil, 0
}

// humReach is how far from its nominal place a hum line may stand: the mains
// wander by up to 0.4 % and short recordings resolve no better than a bin.
func (c *chunkWork) humReach(order int) float64 {
	return math.Max(0.2*float64(order), 1.5/c.out.Seconds)
}

// humBin is the strongest bin where the line of that order may stand, unless
// a tone, the expected one or a clear other one, or one of its harmonics stands there.
func (c *chunkWork) humBin(mains float64, order int) (int, bool) {
	hz, reach := float64(order)*mains, c.humReach(order)
	for _, tone := range []float64{c.out.Tone.Hz, c.out.Other.Hz} {
		for h := 1.0; tone > 0 && h <= maxOrder; h++ {
			if math.Abs(h*tone-hz) < math.Max(reach, 3/c.out.Seconds) {
				c.out.OnMains = hz
				return 0, false
			}
		}
	}
	k := c.strongest(hz-reach, hz+reach)
	return k, k != 0
}

// familyEnergy sums the lines of a family that stand clear of their
// surroundings, leaving out 300 and 600 Hz, which both families have.
func (c *chunkWork) familyEnergy(mains float64) float64 {
	sum := 0.0
	for order := 1; float64(order)*mains <= humTop; order++ {
		if int(mains)*order%300 == 0 {
			continue
		}
		k, ok := c.humBin(mains, order)
		if !ok {
			continue
		}
		hz := c.hz(c.cycles(k))
		n := float64(c.s.N)
		if p := 2 * c.binPower(k) / (n * n); p > minStand/2*c.floorNear(hz) {
			sum += p
		}
	}
	return sum
}

// humMean measures a hum line by the power around it under a Hann window,
// which holds also where the mains frequency drifts during the recording: a
// steady line gives the same answer as its fit.
//
// A periodic Hann window w has the transform (-1/4, 1/2, -1/4) on the bins of
// its own length; here it is applied to the bins of the zero-padded grid, whose
// window is as long as the grid, so the line is put back first and the power of
// the window over the recorded part, sum w^2, is what the sum is divided by.
func (c *chunkWork) humMean(l line) float64 {
	reach := c.wanderReach(l.Hz)
	lo, hi := max(1, c.atBin(l.Hz-reach)), min(len(c.s.R)-2, c.atBin(l.Hz+reach))
	if hi-lo < 4 {
		return l.Net()
	}
	part := c.s.Part(lo-1, hi+1, l.Line)
	sum := 0.0
	for i := 1; i < len(part)-1; i++ {
		v := part[i]/2 - (part[i-1]+part[i+1])/4
		sum += real(v)*real(v) + imag(v)*imag(v)
	}
	m := float64(c.s.M)
	mean := 2 * sum / (m * c.hannPower())
	// The noise under it passes with the same window power, so its density counts as it is.
	mean -= l.density * float64(hi-lo+1) * c.p.Rate / m
	// The fit is the surer of the two where they agree.
	if sd := 4 * math.Sqrt(l.Net()*l.floor+l.floor*l.floor*reach*c.out.Seconds); mean < l.Net()+sd {
		return l.Net()
	}
	return mean
}

// wanderReach is how far to each side of a hum line its power is looked for.
func (c *chunkWork) wanderReach(hz float64) float64 { return math.Max(0.006*hz, 6/c.out.Seconds) }

// beyondEdge is the filtered mean square that lines of wandering mains leave outside
// bins first to last, those of the filter, though they stand on its edge (300 Hz is
// a multiple of both) and so count as inside.
func (c *chunkWork) beyondEdge(first, last int) float64 {
	out := 0.0
	for _, h := range c.out.hum {
		weight, reach := c.p.Curve.Line(h.Hz), c.wanderReach(h.Hz)
		if weight == 0 || h.mean <= h.Net() {
			continue
		}
		sum, noise := 0.0, h.density*float64(c.s.N)/2*c.p.Rate
		for k := c.firstBin(h.Hz - reach); k <= c.lastBin(h.Hz+reach); k++ {
			if k < first || k > last {
				sum += c.binPower(k) - noise
			}
		}
		out += weight * math.Max(0, 2*sum/(float64(c.s.N)*float64(c.s.M)))
	}
	return out
}

// hannPower is the sum over the recorded samples of the squared Hann window as
// long as the grid.
func (c *chunkWork) hannPower() float64 {
	n, m := float64(c.s.N), float64(c.s.M)
	// w = (1 - cos(2 pi t/m))/2; w^2 = 3/8 - cos/2 + cos(2.)/8, summed in closed form.
	s := func(h float64) float64 {
		if n == m {
			return 0
		}
		a := math.Pi * h / m
		return math.Sin(a*n) / math.Sin(a) * math.Cos(a*(n-1))
	}
	return 3*n/8 - s(1)/2 + s(2)/8
}
