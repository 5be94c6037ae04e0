package chunk

import (
	"math"

	"hisspoint/analyze/internal/lines"
)

const (
	ToneSpread   = 0.125 // the tone is looked for this share of the expected frequency to each side
	subSkirtHz   = 4     // the same for a sub-audible tone, which has hum for a neighbour
	skirtHz      = 20    // how far from the tone a signal that comes and goes puts its power
	MinToneShare = 0.05  // tone power to what is left, filtered, below which it counts as missing
)

// findTone looks for a steady tone near the expected frequency and takes it out.
func (c *chunkWork) findTone() {
	if c.p.noTone {
		c.out.Why = "no tone was looked for"
		c.lookElsewhere()
		return
	}
	lo, hi := c.p.Expected*(1-c.p.Spread), c.p.Expected*(1+c.p.Spread)
	l, skirt, ok := c.candidate(lo, hi)
	if ok {
		c.s.Remove(l.Line, l.floor)
		c.out.Tone, c.out.Skirt, c.out.Found = l, skirt, true
		return
	}
	c.out.nearHz = l.Hz
	c.out.Why = "no steady tone rises above the noise"
	c.lookElsewhere()
}

// candidate fits the strongest line between two frequencies and says whether
// it is a tone: one that stands above its surroundings and keeps still. Speech
// and a fading tone put as much power beside the line as into it.
func (c *chunkWork) candidate(lo, hi float64) (line, float64, bool) {
	k := c.strongest(lo, hi)
	if k == 0 {
		return line{}, 0, false
	}
	l := c.around(c.s.FitNear(c.cycles(k)))
	if l.stands() < minStand || l.Hz < lo*0.99 || l.Hz > hi*1.01 {
		return l, 0, false
	}
	skirt := c.skirtPower(l, skirtHz)
	return l, skirt, l.Net() >= skirt
}

// skirtPower is the mean square close to a line, without it, beyond what the
// noise further out explains.
func (c *chunkWork) skirtPower(l line, reach float64) float64 {
	reach = math.Max(reach, 4/c.out.Seconds)
	lo, hi := c.firstBin(l.Hz-reach), c.lastBin(l.Hz+reach)
	if hi <= lo {
		return 0
	}
	sum := 0.0
	for _, r := range c.s.Part(lo, hi, lines.Line{V: l.V, C: -l.C}) {
		sum += real(r)*real(r) + imag(r)*imag(r)
	}
	sum *= 2 / (float64(c.s.N) * float64(c.s.M))
	far := c.farDensity(l, reach)
	return math.Max(0, sum-far*float64(hi-lo+1)*c.p.Rate/float64(c.s.M))
}

// farDensity is the noise density, mean square a hertz, from reach to 6 reach
// on both sides of a line.
func (c *chunkWork) farDensity(l line, reach float64) float64 {
	sum, n := 0.0, 0
	for _, side := range [][2]float64{{l.Hz - 6*reach, l.Hz - reach}, {l.Hz + reach, l.Hz + 6*reach}} {
		lo, hi := c.firstBin(side[0]), c.lastBin(side[1])
		if hi < lo {
			continue
		}
		for _, r := range c.s.Part(lo, hi, lines.Line{V: l.V, C: -l.C}) {
			sum += real(r)*real(r) + imag(r)*imag(r)
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return 2 * sum / float64(n) / float64(c.s.N) / c.p.Rate
}

// lookElsewhere notes a clear tone at another frequency, for a hint, also one that
// does not last.
func (c *chunkWork) lookElsewhere() {
	if l, ok := c.elsewhere(elsewhereShare); ok {
		c.out.Other = l
		return
	}
	c.out.Other = c.passing()
}

// lookBeside notes a clear tone beside the one that was found, its harmonics and the hum,
// where it makes up most of what is left.
func (c *chunkWork) lookBeside() {
	const most = 0.5
	if !c.out.Found {
		return
	}
	l, ok := c.elsewhere(most)
	if order := l.Hz / c.out.Tone.Hz; ok && math.Abs(order-math.Round(order)) > 0.01 { // no harmonic, of which some is left where the level moves
		c.out.Other = l
	}
}

const (
	elsewhereShare = 0.25 // of the power heard that a tone elsewhere has at least
	heardFrom      = 250  // Hz to
	heardTop       = 3500 // is where a tone elsewhere is looked for
)

// elsewhere is the strongest line that is heard, and whether it is a clear tone that
// makes up at least share of the power, and no mains line.
func (c *chunkWork) elsewhere(share float64) (line, bool) {
	top := math.Min(heardTop, 0.45*c.p.Rate)
	k := c.strongest(heardFrom, top)
	if k == 0 {
		return line{}, false
	}
	hz := c.hz(c.cycles(k))
	l, _, ok := c.candidate(math.Max(200, hz-5), hz+5)
	return l, ok && l.stands() > 10*minStand && l.Net() > share*c.plainPower(heardFrom, top) && !c.mainsMultiple(l.Hz)
}

// plainPower is the mean square between two frequencies.
func (c *chunkWork) plainPower(lo, hi float64) float64 {
	sum := 0.0
	for k := c.firstBin(lo); k <= c.lastBin(hi); k++ {
		sum += c.binPower(k)
	}
	return 2 * sum / (float64(c.s.N) * float64(c.s.M))
}

// mainsMultiple tells whether hz is one line of a buzz: a multiple of 50 or 60 Hz with
// other lines of the family beside it, of which a full-wave rectifier gives every second.
func (c *chunkWork) mainsMultiple(hz float64) bool {
	for _, mains := range []float64{50, 60} {
		order := math.Round(hz / mains)
		if order < 1 || math.Abs(hz-order*mains) > math.Max(0.3*order*0.1, 1.5/c.out.Seconds) {
			continue
		}
		beside := 0
		own := c.near(hz)
		for _, step := range []float64{-4, -2, -1, 1, 2, 4} {
			if f := (order + step) * mains; f > 0 && c.near(f) > own/30 && c.near(f) > minStand*c.floorNear(f) {
				beside++
			}
		}
		if beside >= 2 {
			return true
		}
	}
	return false
}

// near is the power of the strongest bin within 1 Hz or two bins, as a line's mean square.
func (c *chunkWork) near(hz float64) float64 {
	reach := math.Max(1, 2/c.out.Seconds)
	k := c.strongest(hz-reach, hz+reach)
	if k == 0 {
		return 0
	}
	n := float64(c.s.N)
	return 2 * c.binPower(k) / (n * n)
}

func (c *chunkWork) floorNear(hz float64) float64 {
	l := line{Hz: hz}
	return math.Max(1e-18, c.farDensity(l, 4)/c.out.Seconds)
}

// maxOrder is the highest harmonic that takes part in the distortion.
const maxOrder = 10

// fitHarmonics fits the tone's harmonics 2 to 10 below 0.45 of the sample rate.
func (c *chunkWork) fitHarmonics() {
	if !c.out.Found {
		return
	}
	for h := 2; h <= maxOrder; h++ {
		v := float64(h) * c.out.Tone.V
		if v > 0.45 {
			break
		}
		c.clearBeside(v)
		l := c.around(c.s.Fit(v))
		if l.stands() > minStand {
			l.taken = true
			c.remove(l)
		}
		c.out.harmonics = append(c.out.harmonics, l)
	}
}

// besideBins is how far, in bins of the unpadded transform, a line that is none of
// the tone's may stand from a harmonic and still be taken for it in part.
const besideBins = 12

// clearBeside takes out a stronger line that stands beside the place of a
// harmonic but not on it: its skirt would be fitted as distortion.
func (c *chunkWork) clearBeside(v float64) {
	reach := besideBins * c.p.Rate / float64(c.s.N)
	k := c.strongest(c.hz(v)-reach, c.hz(v)+reach)
	if k == 0 {
		return
	}
	l := c.around(c.s.FitNear(c.cycles(k)))
	away := math.Abs(l.V-v) * float64(c.s.N)
	if away < 0.5 || away > besideBins || l.stands() < 4*minStand || l.Power() < c.s.Fit(v).Power() {
		return
	}
	c.remove(l)
	c.out.outside = append(c.out.outside, l)
}

// refitHarmonics fits the harmonics again now that none stands in another's
// way: a weak one between strong ones was pulled by their skirts.
func (c *chunkWork) refitHarmonics() {
	for i := range c.out.harmonics {
		h := &c.out.harmonics[i]
		if !h.taken {
			if *h = c.around(c.s.Fit(h.V)); h.stands() > minStand {
				h.taken = true
				c.remove(*h)
			}
			continue
		}
		is := h.Line
		is.C += c.s.Fit(is.V).C
		c.replace(h, is)
	}
}

// besideTone tells whether hz is where the tone or a harmonic of it stands.
func (c *chunkWork) besideTone(hz float64) bool {
	for h := 1.0; c.out.Found && h <= maxOrder; h++ {
		if math.Abs(hz-h*c.out.Tone.Hz) < 5/c.out.Seconds {
			return true
		}
	}
	return false
}

// maxOutside is how many lines outside the filter are taken out at most.
const maxOutside = 24

// fitOutside takes out strong lines outside the filter, which would leak into it.
func (c *chunkWork) fitOutside() {
	for range maxOutside {
		k := c.strongestOutside()
		if k == 0 {
			return
		}
		l := c.around(c.s.FitNear(c.cycles(k)))
		if l.stands() < 4*minStand || c.p.Curve.Line(l.Hz) > 0 {
			return
		}
		c.remove(l)
		c.out.outside = append(c.out.outside, l)
	}
}

func (c *chunkWork) strongestOutside() int {
	first, last := 1, len(c.s.R)-2
	best, at := 0.0, 0
	for k := first; k <= last; k++ {
		hz := c.hz(c.cycles(k))
		if p := c.binPower(k); p > best && c.p.Curve.Line(hz) == 0 {
			best, at = p, k
		}
	}
	return at
}
