// Package audio computes audio responses: levels of tones found one after
// the other, all at once or in a sweep, the long-term spectrum of speech, and the
// shape of what comes out: tilt, bands, edges, masks. It works on numbers alone.
package audio

import (
	"math"
	"slices"
)

// Reference is the frequency in Hz that levels are stated relative to.
const Reference = 1000

// SixDB is the line of +6 dB an octave, 20 log10(f/1 kHz): pre-emphasis as a
// modulator of phase gives it.
func SixDB(hz float64) float64 { return 20 * math.Log10(hz/Reference) }

// TimeConstant is pre-emphasis by a time constant of tau seconds, in dB relative
// to 1 kHz: 10 log10(1+(2 pi f tau)^2) less the same at 1 kHz.
func TimeConstant(tau float64) func(hz float64) float64 {
	at := func(hz float64) float64 {
		w := 2 * math.Pi * hz * tau
		return 10 * math.Log10(1+w*w)
	}
	return func(hz float64) float64 { return at(hz) - at(Reference) }
}

// Octaves is how many octaves a frequency stands above 1 kHz.
func Octaves(hz float64) float64 { return math.Log2(hz / Reference) }

// Table is a curve in straight lines of dB over log frequency.
type Table struct {
	Hz, DB []float64 // in rising order of Hz
}

// At is the curve at a frequency; ok is false outside of its points (a percent
// of frequency beyond them still counts).
func (t Table) At(hz float64) (dB float64, ok bool) {
	n := len(t.Hz)
	if n == 0 || hz < 0.99*t.Hz[0] || hz > 1.01*t.Hz[n-1] {
		return 0, false
	}
	if n == 1 {
		return t.DB[0], true
	}
	i, _ := slices.BinarySearch(t.Hz, hz)
	i = min(max(i, 1), n-1)
	span := math.Log(t.Hz[i] / t.Hz[i-1])
	u := math.Max(0, math.Min(1, math.Log(hz/t.Hz[i-1])/span))
	return t.DB[i-1] + u*(t.DB[i]-t.DB[i-1]), true
}
