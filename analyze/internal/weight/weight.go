// Package weight holds the frequency weightings through which powers are read.
package weight

import (
	"math"
	"sync"
)

// Curve is a frequency weighting without phase.
type Curve struct {
	low, high float64 // flat band, edges included; used if points is nil and formula is nil
	points    []point // table, rising in frequency
	formula   func(hz float64) float64
}

type point struct{ hz, db float64 }

// Flat passes low to high Hz, edges included, and nothing else.
func Flat(low, high float64) Curve { return Curve{low: low, high: high} }

// Psophometric is the telephone weighting of ITU-T O.41 (10/94), table 1, in
// dB relative to 800 Hz (1 kHz reads +1.0 dB).
func Psophometric() Curve { return Curve{points: o41} }

// CMessage is the weighting of IEEE Std 743-1995, in dB relative to 1 kHz.
func CMessage() Curve { return Curve{points: cMessage} }

// A is the A weighting of IEC 61672-1 in its analytic form, with the poles of
// 20.598997, 107.652649, 737.862231 and 12194.217148 Hz, 0 dB at 1 kHz.
func A() Curve { return Curve{formula: aWeightDB} }

// DB is the weighting at hz in dB; -Inf where nothing passes.
//
// Tables are interpolated linearly in dB against the logarithm of frequency and
// held on their last slope outside.
func (c Curve) DB(hz float64) float64 {
	switch {
	case c.formula != nil:
		return c.formula(hz)
	case c.points != nil:
		return interpolate(c.points, hz)
	case hz >= c.low && hz <= c.high:
		return 0
	}
	return math.Inf(-1)
}

// edge is how far outside a flat band a line may lie, as a share of the edge's
// frequency, and still be counted as on the edge: more than any sound card's clock error.
const edge = 1e-3

// Line is the power weighting of a spectral line at hz. A line that stands on
// the edge of a flat band counts as inside, whichever way the card's clock errs.
func (c Curve) Line(hz float64) float64 {
	if c.points == nil && c.formula == nil {
		if hz >= c.low*(1-edge) && hz <= c.high*(1+edge) {
			return 1
		}
		return 0
	}
	return math.Pow(10, c.DB(hz)/10)
}

// Top is the highest frequency that matters to a power read through the curve:
// the upper edge, or where a table has fallen below -60 dB for good.
func (c Curve) Top() float64 {
	switch {
	case c.formula != nil:
		return math.Inf(1)
	case c.points != nil:
		hz := c.points[len(c.points)-1].hz
		for c.DB(hz) > -60 {
			hz *= 1.05
		}
		return hz
	}
	return c.high
}

func aWeightDB(f float64) float64 {
	if f <= 0 {
		return math.Inf(-1)
	}
	const f1, f2, f3, f4 = 20.598997, 107.652649, 737.862231, 12194.217148
	r := func(f float64) float64 {
		q := f * f
		return f4 * f4 * q * q / ((q + f1*f1) * math.Sqrt((q+f2*f2)*(q+f3*f3)) * (q + f4*f4))
	}
	return 20 * math.Log10(r(f)/r(1000))
}

func interpolate(p []point, hz float64) float64 {
	if hz <= 0 {
		return math.Inf(-1)
	}
	i := 1
	for i < len(p)-1 && hz > p[i].hz {
		i++
	}
	a, b := p[i-1], p[i]
	return a.db + (b.db-a.db)*math.Log(hz/a.hz)/math.Log(b.hz/a.hz)
}

// Bins is the curve on a grid of bins: power weights of bins First to First+len(W)-1.
type Bins struct {
	First int
	W     []float64
}

type binsKey struct {
	id        string
	low, high float64
	step      float64
	last      int
}

var (
	binsMu    sync.Mutex
	binsCache = map[binsKey]Bins{}
)

// OnBins returns the power weights on bins step Hz apart, up to bin last. Bins
// outside the curve are left out at both ends. The same grid is computed once.
func (c Curve) OnBins(step float64, last int) Bins {
	key := binsKey{c.id(), c.low, c.high, step, last}
	binsMu.Lock()
	defer binsMu.Unlock()
	if b, ok := binsCache[key]; ok {
		return b
	}
	if len(binsCache) > 16 {
		clear(binsCache)
	}
	b := c.onBins(step, last)
	binsCache[key] = b
	return b
}

func (c Curve) id() string {
	switch {
	case c.formula != nil:
		return "a"
	case c.points != nil && &c.points[0] == &o41[0]:
		return "o41"
	case c.points != nil:
		return "c"
	}
	return "flat"
}

func (c Curve) onBins(step float64, last int) Bins {
	first := 1
	if c.points == nil && c.formula == nil {
		first = max(1, int(math.Ceil(c.low/step-1e-9)))
		last = min(last, int(math.Floor(c.high/step+1e-9)))
	} else if t := c.Top(); !math.IsInf(t, 1) {
		last = min(last, int(math.Ceil(t/step)))
	}
	if last < first {
		return Bins{First: first}
	}
	w := make([]float64, last-first+1)
	for i := range w {
		w[i] = math.Pow(10, c.DB(float64(first+i)*step)/10)
	}
	return Bins{First: first, W: w}
}
