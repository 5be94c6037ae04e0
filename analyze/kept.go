package analyze

import (
	"fmt"
	"math"
	"math/cmplx"

	"hisspoint/analyze/internal/scatter"
	"hisspoint/capture/job"
)

// Kept are readings of a recording that are no figures by themselves, but that
// tests which compare recordings need.
type Kept struct {
	Output    Reading   // all that passes the filter, tone and noise and distortion, dBFS
	Hum       []Reading // each line, dBFS, unfiltered
	Clicks    int       // noise clicks that stood out
	Seconds   float64   // that were used
	Harmonic  []HarmonicPower
	TonePower float64 // 0: no tone
}

// HarmonicPower is the power of a harmonic less what noise gives, what
// scatter.Lines.AddMean asks for, and its phase in radians where the tone's is zero.
type HarmonicPower struct{ Power, Floor, Square, Phase float64 }

// Shape are the harmonics from the second on against the tone, in percent, as complex
// amplitudes: what is linear behind a set turns those of all volumes alike.
func (k Kept) Shape() []complex128 {
	var out []complex128
	for _, h := range k.Harmonic {
		out = append(out, cmplx.Rect(100*math.Sqrt(math.Max(0, h.Power)/k.TonePower), h.Phase))
	}
	return out
}

// percent is the root of the summed power of harmonics, those of every step-th
// order from the first on, against the fundamental, with the interval of fitted
// lines in noise, less what noise alone adds (scatter.Lines). It takes a while,
// so it is computed only where it is asked for.
func (k Kept) percent(name string, first, last, step int) Reading {
	if k.TonePower == 0 {
		return None(name, "%", WhyNoTone)
	}
	var l scatter.Lines
	sum := 0.0
	for order := first; order <= min(last, len(k.Harmonic)+1); order += step {
		h := k.Harmonic[order-2]
		l.AddMean(h.Power, h.Floor, h.Square)
		sum += h.Power
	}
	if first > len(k.Harmonic)+1 {
		return None(name, "%", "no such harmonic fits below 0.45 of the sample rate")
	}
	pc := func(p float64) float64 { return 100 * math.Sqrt(math.Max(0, p)/k.TonePower) }
	low, high := l.Interval95()
	return NewReading(name, "%", pc(sum), math.Min(pc(sum), pc(low)), math.Max(pc(sum), pc(high)))
}

// Even and odd are the harmonics 2, 4, 6 ... and 3, 5, 7 ...
func (k Kept) Even() Reading { return k.percent(job.FigureEvenHarmonics, 2, len(k.Harmonic)+1, 2) }

func (k Kept) Odd() Reading { return k.percent(job.FigureOddHarmonics, 3, len(k.Harmonic)+1, 2) }

// Harmonics is each by itself.
func (k Kept) Harmonics() []Reading {
	var out []Reading
	for i := range k.Harmonic {
		out = append(out, k.percent(fmt.Sprintf("%s%d", HarmonicOf, i+2), i+2, i+2, 1))
	}
	return out
}
