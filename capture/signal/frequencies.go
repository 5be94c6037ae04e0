package signal

import (
	"math"
	"slices"
)

// Preferred are the preferred frequencies of ISO 266 within one decade, in Hz
// from 100 on: the R40 series of ISO 3 as rounded there. Every second is a sixth
// of an octave apart (R20), every fourth a third (R10).
var preferred = []float64{
	100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265, 280, 300,
	315, 335, 355, 375, 400, 425, 450, 475, 500, 530, 560, 600, 630, 670, 710, 750, 800, 850, 900, 950,
}

// Frequencies lists the preferred frequencies of ISO 266 from low to high Hz,
// both included, in steps of 1/fraction octave (fraction 3, 6 or 12; others are
// taken as 3). The ends low and high are in the list too.
func Frequencies(low, high float64, fraction int) []float64 {
	step := map[int]int{6: 2, 12: 1}[fraction]
	if step == 0 {
		step = 4
	}
	out := []float64{low}
	for decade := 0.1; decade <= 1000; decade *= 10 {
		for i := 0; i < len(preferred); i += step {
			f := math.Round(preferred[i]*decade*100) / 100
			if f > low*1.001 && f < high*0.999 {
				out = append(out, f)
			}
		}
	}
	return append(out, high)
}

// StandardSteps lists the stepped tones from 300 to 3400 Hz, 1/fraction octave
// apart, with 3000 Hz, where the usual masks end.
func StandardSteps(fraction int) []float64 {
	all := Frequencies(300, 3400, fraction)
	for i, hz := range all {
		if hz == 3000 {
			break
		}
		if hz > 3000 {
			return slices.Insert(all, i, 3000)
		}
	}
	return all
}

// ThirdOctave is the exact middle and the edges of third-octave band n of IEC
// 61260-1, base ten: 1000 * 10^(n/10) Hz, edges a twentieth of a decade away.
// Band 0 is that of 1 kHz.
func ThirdOctave(n int) (low, middle, high float64) {
	at := func(x float64) float64 { return 1000 * math.Pow(10, x/10) }
	return at(float64(n) - 0.5), at(float64(n)), at(float64(n) + 0.5)
}
