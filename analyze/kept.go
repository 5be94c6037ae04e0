package analyze

import (
	"fmt"
	"math"

	"hisspoint/analyze/internal/scatter"
)

// Kept are readings of a recording that are no figures by themselves, but that
// tests which compare recordings need.
type Kept struct {
	output    Reading   // all that passes the filter, tone and noise and distortion, dBFS
	hum       []Reading // each line, dBFS, unfiltered
	clicks    int       // noise clicks that stood out
	seconds   float64   // that were used
	harmonic  []harmonicPower
	tonePower float64 // 0: no tone
}

// harmonicPower is the power of a harmonic less what noise gives, and what
// scatter.Lines.AddMean asks for.
type harmonicPower struct{ power, floor, square float64 }

// percent is the root of the summed power of harmonics, those of every step-th
// order from the first on, against the fundamental, with the interval of fitted
// lines in noise, less what noise alone adds (scatter.Lines). It takes a while,
// so it is computed only where it is asked for.
func (k Kept) percent(name string, first, last, step int) Reading {
	if k.tonePower == 0 {
		return none(name, "%", whyNoTone)
	}
	var l scatter.Lines
	sum := 0.0
	for order := first; order <= min(last, len(k.harmonic)+1); order += step {
		h := k.harmonic[order-2]
		l.AddMean(h.power, h.floor, h.square)
		sum += h.power
	}
	if first > len(k.harmonic)+1 {
		return none(name, "%", "no such harmonic fits below 0.45 of the sample rate")
	}
	pc := func(p float64) float64 { return 100 * math.Sqrt(math.Max(0, p)/k.tonePower) }
	low, high := l.Interval95()
	return reading(name, "%", pc(sum), math.Min(pc(sum), pc(low)), math.Max(pc(sum), pc(high)))
}

// even and odd are the harmonics 2, 4, 6 ... and 3, 5, 7 ...
func (k Kept) even() Reading { return k.percent(EvenHarmonics, 2, len(k.harmonic)+1, 2) }
func (k Kept) odd() Reading  { return k.percent(OddHarmonics, 3, len(k.harmonic)+1, 2) }

// harmonics is each by itself.
func (k Kept) harmonics() []Reading {
	var out []Reading
	for i := range k.harmonic {
		out = append(out, k.percent(fmt.Sprintf("%s%d", HarmonicOf, i+2), i+2, i+2, 1))
	}
	return out
}
