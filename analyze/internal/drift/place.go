package drift

import (
	"math"
	"slices"

	"hisspoint/capture/dft"
)

const (
	placeSeconds = 0.03 // to each side of a step, within which its sample is looked for
	bandLow      = 0.3  // of the tone: below lies hum
	bandHigh     = 3.4  // of the tone or of 1 kHz: above lies hiss
)

// place turns steps of hops into slips of samples. Around each, the sample is taken
// at which the phases before and after explain the sound best.
func (c *Course) place(s Sound, h *hops, best fitted, sure []int) {
	turns := best.turned()[best.order+1:]
	errors := best.errors(h.sigma)
	hz := c.hz()
	for i, k := range best.steps {
		middle := (h.u[k] + h.u[min(len(h.u)-1, k+1)]) / 2
		samples := c.Rate / (2 * math.Pi * hz)
		c.Slips = append(c.Slips, Slip{At: int((middle + 1) / 2 * float64(c.N)), Turn: turns[i],
			Samples: turns[i] * samples, Sigma: errors[i] * samples, Sure: slices.Contains(sure, k)})
	}
	for range 2 {
		for i := range c.Slips {
			c.refine(s, i, h.amp)
		}
	}
}

// refine moves a slip to the sample that makes the squared error least: from place t on
// the phase is turned, so the sum of (error before - error after) over what follows counts.
func (c *Course) refine(s Sound, i int, amp float64) {
	reach := int(placeSeconds * c.Rate)
	at := c.Slips[i].At
	lo, hi := max(0, at-2*reach), min(c.N, at+2*reach)
	x := make([]float64, dft.Smooth(hi-lo))
	for t := lo; t < hi; t++ {
		x[t-lo] = s.X[t] - s.Offset
	}
	c.filter(x)
	gain, best, place := 0.0, 0.0, at
	for t := min(hi-1, at+reach); t >= max(lo, at-reach); t-- {
		p := c.Phase(t) - c.turned(t, i)
		before, after := x[t-lo]-amp*math.Cos(p), x[t-lo]-amp*math.Cos(p+c.Slips[i].Turn)
		if gain += before*before - after*after; gain > best {
			best, place = gain, t
		}
	}
	c.Slips[i].At = place
}

// turned is what slip i has turned the phase by at sample t.
func (c *Course) turned(t, i int) float64 {
	if t >= c.Slips[i].At {
		return c.Slips[i].Turn
	}
	return 0
}

// filter keeps what lies around the tone.
func (c *Course) filter(x []float64) {
	hz := c.hz()
	coef := dft.Forward(nil, x)
	for k := range coef {
		f := float64(k) * c.Rate / float64(len(x))
		if f < bandLow*hz || f > bandHigh*math.Max(1000, hz) {
			coef[k] = 0
		}
	}
	dft.Inverse(x, coef, len(x))
}

// Phase is the tone's phase at sample t, rad.
func (c *Course) Phase(t int) float64 {
	p := at(c.Coef, 2*float64(t)/float64(c.N)-1)
	for _, s := range c.Slips {
		if t >= s.At {
			p += s.Turn
		}
	}
	return p
}
