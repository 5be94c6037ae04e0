package chunk

import (
	"math"

	"hisspoint/analyze/internal/lines"
	"hisspoint/capture/dft"
)

// A tone that is there for part of a chunk only, or fades, is no line of the whole
// of it; it is one of short windows that follow each other.
const (
	passingSeconds = 0.5  // a window, half of which the next one shares
	passingWindows = 2    // in which it stands at least
	passingHz      = 1.0  // by which it may move from one to the next
	passingShare   = 0.5  // of the power heard in each window
	passingTop     = 4000 // Hz, up to which it is looked at
	passingBin     = 0.2  // of that in its strongest bin, between two of which 0.4 of a line is in either
)

// passing is the strongest tone, by its energy, that stands in some windows at another
// frequency than where one is expected; its Hz is 0 if there is none.
func (c *chunkWork) passing() line {
	x, rate := c.slower(passingTop)
	p := c.p
	p.Rate = rate
	n, step := int(passingSeconds*rate), int(passingSeconds*rate/2)
	var best, run line
	most, energy, windows := 0.0, 0.0, 0
	w := &Worker{}
	for at := 0; n > 0 && at+n <= len(x); at += step {
		l, ok := toneOf(w, x[at:at+n], p)
		if !ok {
			windows = 0
			continue
		}
		if windows == 0 || math.Abs(l.Hz-run.Hz) > passingHz {
			windows, energy = 0, 0
		}
		windows, energy, run = windows+1, energy+l.Net(), l
		if windows >= passingWindows && energy > most {
			best, most = l, energy
		}
	}
	return best
}

// slower is the chunk, up to a frequency, at a rate just high enough for it.
func (c *chunkWork) slower(hz float64) (x []float64, rate float64) {
	last := min(len(c.s.R)-1, int(c.bin(hz)))
	m := dft.Smooth(2 * (last + 1))
	ratio := float64(m) / float64(c.s.M)
	coef := make([]complex128, m/2+1)
	for k, v := range c.s.R[:min(last+1, len(coef))] {
		coef[k] = v * complex(ratio, 0)
	}
	x = dft.Inverse(nil, coef, m)
	return x[:min(m, int(float64(c.s.N)*ratio))], c.p.Rate * ratio
}

// toneOf is the tone that makes up most of what is heard in x.
func toneOf(w *Worker, x []float64, p Plan) (line, bool) {
	n, m := len(x), dft.Smooth(len(x))
	w.X = append(append(w.X[:0], x...), make([]float64, m-n)...)
	w.coef = dft.Forward(w.coef, w.X)
	c := &chunkWork{Worker: w, x: x, p: p, out: &Sums{N: n, Seconds: float64(n) / p.Rate}, s: &lines.Spectrum{R: w.coef, N: n, M: m}}
	top := math.Min(heardTop, 0.45*p.Rate)
	if k := c.strongest(heardFrom, top); k == 0 || c.near(c.hz(c.cycles(k))) < passingBin*c.plainPower(heardFrom, top) {
		return line{}, false // noise, in most of which nothing needs to be fitted
	}
	c.fitOffset()
	l, ok := c.elsewhere(passingShare)
	near := math.Abs(l.Hz/p.Expected-1) < p.Spread
	return l, ok && !near
}
