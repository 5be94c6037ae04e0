package chunk

import (
	"math"
	"math/cmplx"
	"slices"

	"hisspoint/analyze/internal/drift"
	"hisspoint/analyze/internal/lines"
	"hisspoint/analyze/internal/track"
	"hisspoint/capture/dft"
)

// moving is how the tone's frequency and phase go over time, beside a straight line.
type moving struct {
	Drift    float64      // Hz/s, slope of the straight line through its frequency
	DriftVar float64      // 0: not known
	low      float64      // Hz, the lowest frequency
	high     float64      // and the highest
	Moved    bool         // a steady tone was put in place of one that moves
	Slips    []drift.Slip // where its phase jumps because samples are missing or doubled
	Long     bool         // the tone may move, but the chunk is too long to follow it
	Sways    float64      // mean square, beyond the noise around it, that stands beside the tone because its phase wavers
	Swings   float64      // because its level does
	Warbles  float64      // Hz, near which a tone is that was neither found steady nor followed
}

const (
	mostBeside = 0.1  // of the tone's power: a tone with more beside it is none that was followed
	phaseHop   = 0.01 // s

	waversSeconds = 0.3 // from which on it is looked at what stands beside the tone
)

// moves returns the course of a tone that does not keep still.
func (c *chunkWork) moves() (drift.Course, bool) {
	if c.p.noTone || c.out.Total == 0 {
		return drift.Course{}, false
	}
	if c.out.Seconds < drift.MinSeconds {
		if c.out.Found && c.out.Seconds >= waversSeconds {
			c.wavers() // too short to tell why
		}
		return drift.Course{}, false
	}
	if c.out.Found {
		c.bends()
		c.wavers()
		if !drift.Restless(c.phases()) {
			return drift.Course{}, false
		}
	}
	s := c.sound()
	if c.out.Seconds > drift.MaxSeconds {
		c.out.Long = c.out.Found || drift.Acquired(s)
		return drift.Course{}, false
	}
	course, ok := drift.Follow(s)
	return course, ok && course.Moves()
}

// A tone that is there from end to end and does not keep still has most of what is heard
// around one place, at a steady level. That of narrow noise scatters by 5.6 dB (Rayleigh).
const (
	warbleHz    = 60.0 // to each side
	warbleShare = 0.5  // of the power heard, at least
	warbleLevel = 2.0  // dB by which it scatters
)

// warbles notes where a tone runs through the chunk whose phase no line and no drift explains.
func (c *chunkWork) warbles() {
	hz := c.out.nearHz
	lo, hi := c.firstBin(hz-warbleHz), c.lastBin(hz+warbleHz)
	if c.out.Found || hz == 0 || hi <= lo || c.plainPower(hz-warbleHz, hz+warbleHz) < warbleShare*c.plainPower(heardFrom, heardTop) {
		return
	}
	band := c.s.Part(lo, hi, lines.Line{})
	m := dft.Smooth(len(band))
	env := dft.InverseComplex(append(slices.Clone(band), make([]complex128, m-len(band))...))
	level := make([]float64, int(float64(m)*float64(c.s.N)/float64(c.s.M)))
	for t := range level {
		level[t] = 20 * math.Log10(math.Max(cmplx.Abs(env[t]), 1e-12))
	}
	if track.Spread(level) < warbleLevel {
		c.out.Warbles = hz
	}
}

// sound is the chunk with its transform around the tone, which is in it.
func (c *chunkWork) sound() drift.Sound {
	lo := math.Max(20, c.p.Expected*(1-c.p.Spread))
	hi := math.Min(0.45*c.p.Rate, c.p.Expected*(1+c.p.Spread))
	first, last := c.firstBin(lo-drift.Margin), c.lastBin(hi+drift.Margin)
	band := c.s.Part(first, last, lines.Line{V: c.out.Tone.V, C: c.out.Tone.C})
	return drift.Sound{X: c.x, Offset: c.out.Offset, Rate: c.p.Rate, Band: band, First: first, M: c.s.M, Lo: lo, Hi: hi}
}

// keeps tells whether a steady tone stands where the moving one was, and notes how that moved.
func (c *chunkWork) keeps(course drift.Course) bool {
	if !c.out.Found || c.out.Tone.Amplitude() == 0 || c.out.Skirt > mostBeside*c.out.Tone.Power() {
		return false
	}
	c.wavers()
	c.out.Moved, c.out.Slips = true, course.Slips
	c.out.Drift = course.Slope()
	c.out.low, c.out.high = course.Range()
	c.out.DriftVar = driftVariance(c.out.Tone, c.out.Seconds)
	return true
}

// phases are the phase of the tone against the fitted line in hops.
func (c *chunkWork) phases() []float64 {
	n := int(c.out.Seconds / phaseHop)
	sum := make([]complex128, n)
	for t, e := range c.envelopeOn() {
		sum[min(n-1, int(float64(t)*c.step*float64(n)/float64(c.s.N)))] += e + complex(c.out.Tone.Amplitude(), 0)
	}
	out := make([]float64, n)
	for i, v := range sum {
		out[i] = cmplx.Phase(v)
	}
	return out
}

// envelopeOn is the envelope over the samples of the chunk, without what the padding holds.
func (c *chunkWork) envelopeOn() []complex128 {
	return c.env[:min(len(c.env), int(float64(c.s.N)/c.step))]
}

// bends notes how the frequency rises or falls: the fit has taken offset and slope of the
// phase, and the next Legendre polynomial, P2 over the chunk, is a straight line of
// frequency. With g the mean of P2 times the quadrature part of a tone of amplitude a the phase holds
// 5 g / a times P2, and the frequency rises by 6 / (pi T^2) times that.
func (c *chunkWork) bends() {
	sum, n := 0.0, 0.0
	for t, e := range c.envelopeOn() {
		at := 2*float64(t)*c.step/float64(c.s.N) - 1
		sum += (3*at*at - 1) / 2 * imag(e)
		n++
	}
	a := c.out.Tone.Amplitude()
	if n == 0 || a == 0 {
		return
	}
	c.out.Drift = 6 / (math.Pi * c.out.Seconds * c.out.Seconds) * 5 * sum / n / a
	c.out.DriftVar = driftVariance(c.out.Tone, c.out.Seconds)
	half := math.Abs(c.out.Drift) * c.out.Seconds / 2
	c.out.low, c.out.high = c.out.Tone.Hz-half, c.out.Tone.Hz+half
}

// leastVariance is what arithmetic leaves, Hz^2 or (Hz/s)^2.
const leastVariance = 1e-24

// driftVariance is the Cramer-Rao bound of a chirp's rate in noise of the density found
// around the tone: 180 N0 / (pi^2 A^2 T^5) (Peleg & Porat 1991).
func driftVariance(l line, seconds float64) float64 {
	a := l.Amplitude()
	return math.Max(180*l.density/(math.Pi*math.Pi*a*a*math.Pow(seconds, 5)), leastVariance)
}

// What a tone that wavers puts beside it, and where the noise there is read, Hz.
const (
	besideHz = 20
	farLow   = 25
	farHigh  = 100
)

// wavers notes the power in quadrature and in phase with the tone beside it, beyond that
// of the noise further away.
func (c *chunkWork) wavers() {
	env := c.envelopeOn()
	if len(env) < 2 {
		return
	}
	m := dft.Smooth(len(env))
	v := dft.InverseComplex(append(slices.Clone(env), make([]complex128, m-len(env))...)) // the transform, backwards
	df := c.p.Rate / c.step / float64(m)
	var far []float64
	bins := 0.0
	for k := range v {
		hz := df * float64(min(k, m-k))
		if hz > farLow && hz <= farHigh {
			far = append(far, real(v[k])*real(v[k])+imag(v[k])*imag(v[k]))
		}
		if hz > besideHz {
			v[k] = 0
			continue
		}
		bins++
	}
	if len(far) == 0 {
		return
	}
	slices.Sort(far)
	padded := float64(m) / float64(len(env))
	noise := far[len(far)/2] / math.Ln2 * bins * padded / 2 // in each of both parts
	beside := dft.InverseComplex(v)
	in, quad := make([]float64, len(env)), make([]float64, len(env))
	for t := range env {
		w := beside[(m-t)%m] * complex(float64(m), 0) // backwards again
		in[t], quad[t] = real(w)*real(w), imag(w)*imag(w)
	}
	c.out.Swings = (lasting(in) - noise) / 2 // half an amplitude's square is a mean square
	c.out.Sways = (lasting(quad) - noise) / 2
}

// medianOfSquare is the median of a squared normal variable of variance 1.
const medianOfSquare = 0.455

// lasting is the mean of squares, or what their median implies where that is less: a
// burst or a hole has a mean only. It sorts x.
func lasting(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	slices.Sort(x)
	return math.Min(sum/float64(len(x)), x[len(x)/2]/medianOfSquare)
}

// SlipAt is a slip at so many seconds from the start of the recording.
type SlipAt struct {
	Seconds float64
	drift.Slip
}

// mostSlips is how many slips a second leave figures that stand.
const mostSlips = 2

// ManySlips tells whether samples are missing so often that noise and distortion hold
// what is not repaired: SINAD is at least what it reads.
func (t Totals) ManySlips() bool { return float64(len(t.Slips)) > mostSlips*t.Seconds }

// swayed is the share of noise and distortion from which a phase that wavers rules the
// sound beside the tone.
const swayed = 0.3

// Swayed tells whether what stands beside the tone is there because its phase wavers, and
// not its level: it says nothing of the noise.
func (t Totals) Swayed() bool { return t.Sways > swayed*t.Nd && t.Sways > 2*t.Swings }

// Span is by how many hertz the tone's frequency moves in all.
func (t Totals) Span() float64 { return t.high - t.low }

// join puts the courses of chunks together. The slope of the frequency is that within the
// chunks and that between their means, each weighted by what is known of it.
func (t *Totals) join(parts []Sums) {
	var known, slope, start float64
	var weights, times, hertz float64 // of the chunks' mean frequencies
	each := func(f func(p Sums, at, weight float64)) {
		at := 0.0
		for _, p := range parts {
			if p.Found && p.DriftVar > 0 {
				f(p, at+p.Seconds/2, 1/math.Max(frequencyVariance(p.Tone, p.Seconds), leastVariance))
			}
			at += p.Seconds
		}
	}
	for _, p := range parts {
		w := float64(p.N) / float64(t.N)
		t.Sways += w * p.Sways
		t.Swings += w * p.Swings
		t.Moved, t.Long = t.Moved || p.Moved, t.Long || p.Long
		t.Warbles = math.Max(t.Warbles, p.Warbles)
		for _, s := range p.Slips {
			t.Slips = append(t.Slips, SlipAt{start + float64(s.At)/float64(p.N)*p.Seconds, s})
		}
		start += p.Seconds
	}
	each(func(p Sums, at, weight float64) {
		known += 1 / p.DriftVar
		slope += p.Drift / p.DriftVar
		weights += weight
		times += weight * at
		hertz += weight * p.Tone.Hz
		if t.high == 0 {
			t.low, t.high = p.low, p.high
		}
		t.low, t.high = math.Min(t.low, p.low), math.Max(t.high, p.high)
	})
	if known == 0 {
		return
	}
	each(func(p Sums, at, weight float64) {
		away := at - times/weights
		known += weight * away * away
		slope += weight * away * (p.Tone.Hz - hertz/weights)
	})
	t.Drift, t.DriftVar = slope/known, 1/known
}
