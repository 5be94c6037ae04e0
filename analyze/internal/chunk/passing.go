package chunk

import (
	"math"

	"hisspoint/analyze/internal/lines"
	"hisspoint/analyze/internal/spectrum"
)

// A tone that is there for part of a chunk only, or fades, is no line of the whole
// of it; it is one of short windows that follow each other.
const (
	passingSeconds = 0.5 // a window, half of which the next one shares
	passingWindows = 2   // in which it stands at least
	passingHz      = 1.0 // by which it may move from one to the next
	passingShare   = 0.5 // of the power heard in each window
)

// passing is the strongest tone, by its energy, that stands in some windows at another
// frequency than where one is expected; its Hz is 0 if there is none.
func (c *chunkWork) passing() line {
	n, step := int(passingSeconds*c.p.Rate), int(passingSeconds*c.p.Rate/2)
	var best, run line
	most, energy, windows := 0.0, 0.0, 0
	w := &Worker{}
	for at := 0; n > 0 && at+n <= len(c.x); at += step {
		l, ok := c.toneOf(w, c.x[at:at+n])
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

// toneOf is the tone that makes up most of what is heard in x.
func (c *chunkWork) toneOf(w *Worker, x []float64) (line, bool) {
	n, m := len(x), spectrum.Smooth(len(x))
	w.X = append(append(w.X[:0], x...), make([]float64, m-n)...)
	w.coef = spectrum.Forward(w.coef, w.X)
	sub := &chunkWork{Worker: w, x: x, p: c.p, out: &Sums{N: n, Seconds: float64(n) / c.p.Rate}, s: &lines.Spectrum{R: w.coef, N: n, M: m}}
	sub.fitOffset()
	l, ok := sub.elsewhere(passingShare)
	near := math.Abs(l.Hz/c.p.Expected-1) < c.p.Spread
	return l, ok && !near
}
