// Package track follows a recording over time in short hops: the tone's
// amplitude and phase, the noise, the whole power, and what single samples
// show. It finds where one of them changes by more than chance explains.
package track

import (
	"math"
	"math/cmplx"
	"slices"
)

// HopSeconds is the length of a hop in recordings of up to LongSeconds; longer
// ones have longer hops, so that their number stays bounded.
const (
	HopSeconds  = 0.02
	LongSeconds = 900
)

// Hop is one short stretch of a recording.
type Hop struct {
	From, To float64    // seconds
	Tone     complex128 // amplitude and phase of the tone, filtered; the phase against one fixed frequency
	Noise    float64    // mean square of what is left, filtered
	Rest     float64    // mean square of everything but the tone and the offset, unfiltered
	Blind    bool       // the noise is not known: it counts as that of the hops before
}

// Length is the length of hops in a recording of that many seconds.
func Length(seconds float64) float64 { return HopSeconds * math.Max(1, seconds/LongSeconds) }

// Curves are the quantities that are watched, one value a hop, in dB.
type Curves struct {
	Tone, Noise, Rest []float64
	// Scale is the median amplitude of the tone.
	Scale float64
	// Floor is the level in dB below which noise is not looked at.
	Floor float64
}

const (
	underTone = 1e-9 // noise 90 dB below the tone is as good as none
	underFull = 1e-13
)

// CurvesOf turns hops into curves. Noise is held at 90 dB below the tone or
// 130 dB below full scale, whatever is more: below, arithmetic and not sound is seen.
func CurvesOf(hops []Hop) Curves {
	c := Curves{Tone: make([]float64, len(hops)), Noise: make([]float64, len(hops)), Rest: make([]float64, len(hops))}
	amp := make([]float64, len(hops))
	for i, h := range hops {
		amp[i] = cmplx.Abs(h.Tone)
	}
	c.Scale = Median(amp)
	strongest := 0.0
	if len(amp) > 0 {
		strongest = slices.Max(amp)
	}
	floor := underTone*strongest*strongest/2 + underFull
	c.Floor = 10 * math.Log10(2*floor)
	for i, h := range hops {
		c.Tone[i] = 10 * math.Log10(amp[i]*amp[i]+2*floor)
		c.Noise[i] = 10 * math.Log10(2*(math.Max(0, h.Noise)+floor))
		// A hop holds no whole number of cycles, so the tone is taken off to within some percent.
		c.Rest[i] = 10 * math.Log10(2*(math.Max(0, h.Rest)+0.03*strongest*strongest+floor))
	}
	c.fillBlind(hops)
	return c
}

// fillBlind gives hops whose noise is not known that of those before, or of the first that
// are known: as many as scatter little together.
func (c *Curves) fillBlind(hops []Hop) {
	const enough = 50
	var known []float64
	for i, h := range hops {
		if !h.Blind {
			known = append(known, c.Noise[i])
		}
	}
	before := 0
	for i, h := range hops {
		switch {
		case !h.Blind:
			before++
		case len(known) > 0:
			near := known[max(0, before-enough):]
			c.Noise[i] = Median(near[:min(enough, len(near))])
		}
	}
}

// Median of a list, which is left as it is; 0 for an empty one.
func Median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	s := slices.Clone(x)
	slices.Sort(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// Spread is the standard deviation that the median distance from the median
// implies for a normal distribution: outliers do not move it.
func Spread(x []float64) float64 {
	m := Median(x)
	d := make([]float64, len(x))
	for i, v := range x {
		d[i] = math.Abs(v - m)
	}
	return 1.4826 * Median(d)
}
