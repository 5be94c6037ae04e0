package simulate

import "math"

// bendSteps is how many times finer than workRate a curve with corners is
// worked: the harmonics that corners make beyond half of workRate would fold
// back onto those that are measured.
const (
	bendSteps = 8
	bendHalf  = 16 // zero crossings each side of the kernel that goes there and back
)

// bend puts samples through a curve that leaves alone all up to the size
// quiet. What the curve takes off is worked out between the samples too, cut
// to the band and added, so samples far from any bend do not change at all.
func bend(volts []float64, quiet float64, curve func(float64) float64) {
	table := kernel(bendHalf, 1)
	n := len(volts)
	sample := func(i int) float64 {
		if i < 0 || i >= n {
			return 0
		}
		return volts[i]
	}
	change := make([]float64, n)
	bent := false
	span := make([]float64, 2*bendHalf)
	for i := -1; i < n; i++ {
		// Between two samples a wave can stand above both, but not by half
		// as much again where it holds nothing above 8 kHz or so.
		if quiet > 0 && max(math.Abs(sample(i)), math.Abs(sample(i+1)), math.Abs(sample(i-1)), math.Abs(sample(i+2))) < quiet/1.5 {
			continue
		}
		from := i - bendHalf + 1
		for j := range span {
			span[j] = sample(from + j)
		}
		for p := range bendSteps {
			row := table[p*kernelPhases/bendSteps]
			x := dot(span, row)
			off := curve(x) - x
			if off == 0 {
				continue
			}
			bent = true
			for j, w := range row[:2*bendHalf] {
				if k := from + j; k >= 0 && k < n {
					change[k] += off * w / bendSteps
				}
			}
		}
	}
	if bent {
		for i, c := range change {
			volts[i] += c
		}
	}
}
