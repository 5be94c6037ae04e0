package chunk

import (
	"math"

	"hisspoint/analyze/internal/mains"
)

// humLine is a line that was taken out as hum or buzz.
type humLine struct {
	line
	order  int     // index in the family's orders; -1: buzz
	fitted float64 // mean square when the family was measured
}

// buzzTop is the highest multiple of the mains that is looked for, in Hz.
const buzzTop = 3400

func (c *chunkWork) mainsInput() mains.Input {
	return mains.Input{Spectrum: c.s, Rate: c.p.Rate, Mains: c.p.Mains, Tones: c.toneMultiples(), Standard: c.p.Standard}
}

// toneMultiples are the tone, the expected one or a clear other one, and its harmonics.
func (c *chunkWork) toneMultiples() []float64 {
	var out []float64
	for _, tone := range []float64{c.out.Tone.Hz, c.out.Other.Hz} {
		for h := 1.0; tone > 0 && h <= maxOrder && h*tone < buzzTop+100; h++ {
			out = append(out, h*tone)
		}
	}
	return out
}

// fitHum finds the mains family, takes its lines out and measures them, and the
// strongest steady line from 60 to 300 Hz that is none of them: a sub-audible tone.
func (c *chunkWork) fitHum() {
	in := c.mainsInput()
	c.out.Hum = in.Find()
	if c.out.Hum.Found {
		c.takeOut(c.out.Hum.Orders, false)
	}
	c.fitSubAudible()
}

// fitBuzz does the same for the multiples above the hum.
func (c *chunkWork) fitBuzz() {
	if !c.out.Hum.Found {
		return
	}
	in := c.mainsInput()
	c.out.Buzz = in.Above(c.out.Hum, math.Min(buzzTop, 0.45*c.p.Rate))
	if mains.Stand(c.out.Buzz) {
		c.takeOut(c.out.Buzz, true)
	}
}

// takeOut takes the lines of a family out of the spectrum, those that stand as they
// were fitted. The others only where they are in the filter: noise is what is left
// there, and what noise had under all lines that were taken out.
func (c *chunkWork) takeOut(orders []mains.Order, buzz bool) {
	for i, o := range orders {
		weight := c.p.Curve.Line(o.Hz)
		c.out.underHum += weight * o.Floor
		l := o.Line
		if !o.Stands() {
			if weight == 0 {
				continue
			}
			l = c.s.Fit(o.Hz / c.p.Rate)
		}
		h := humLine{order: i, fitted: l.Power()}
		h.line = line{Line: l, Hz: c.hz(l.V), density: o.Floor * c.out.Seconds, floor: o.Floor, cut: o.Floor}
		if buzz {
			h.order = -1
		}
		c.remove(h.line)
		c.out.hum = append(c.out.hum, h)
	}
}

// settleHum gives the family what fitting its strong lines again has changed.
func (c *chunkWork) settleHum() {
	for _, h := range c.out.hum {
		if h.order >= 0 {
			c.out.Hum.Orders[h.order].Net += h.Power() - h.fitted
		}
	}
}

// fitSubAudible takes out the strongest line from 60 to 300 Hz that is no mains line.
func (c *chunkWork) fitSubAudible() {
	for _, o := range c.out.Hum.Others {
		if o.Hz < 60 || o.Hz > 299 || c.besideTone(o.Hz) {
			continue
		}
		l := c.around(c.s.FitNear(o.Hz / c.p.Rate))
		if l.stands() >= 4*minStand && l.Net() >= c.skirtPower(l, subSkirtHz) {
			c.remove(l)
			c.out.Sub = l
		}
		return
	}
}

// loose is the filtered mean square that lines of wandering mains leave beside their fits.
func (c *chunkWork) loose() float64 {
	sum := 0.0
	if c.out.Hum.Found {
		for _, o := range c.out.Hum.Orders {
			sum += c.p.Curve.Line(o.Hz) * o.Skirt
		}
	}
	return sum
}

// beyondEdge is the filtered mean square that lines of wandering mains leave outside
// bins first to last, those of the filter, though they stand on its edge (300 Hz is
// a multiple of both) and so count as inside.
func (c *chunkWork) beyondEdge(first, last int) float64 {
	if !c.out.Hum.Found {
		return 0
	}
	out, n := 0.0, float64(c.s.N)
	for _, o := range c.out.Hum.Orders {
		weight, reach := c.p.Curve.Line(o.Hz), mains.Reach(o.Hz, c.out.Seconds)
		if weight == 0 || o.Skirt == 0 {
			continue
		}
		sum, noise := 0.0, o.Floor*n*n/2
		for k := c.firstBin(o.Hz - reach); k <= c.lastBin(o.Hz+reach); k++ {
			if k < first || k > last {
				sum += c.binPower(k) - noise
			}
		}
		out += weight * math.Max(0, 2*sum/(n*float64(c.s.M)))
	}
	return out
}
