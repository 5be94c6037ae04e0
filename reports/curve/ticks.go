package curve

import (
	"math"

	"gonum.org/v1/plot"

	"hisspoint/reports/doc/say"
)

// ticks stand at round steps of 1, 2 or 5 times a power of ten, at most most of
// them, so that a person can read between them.
// Along ratios they stand at 1, 2, 3 and 5 times the powers of ten.
type ticks struct {
	most   int
	ratios bool
}

// step is the least round step that needs no more than most ticks.
func (t ticks) step(low, high float64) float64 {
	if !(high > low) {
		return 1
	}
	ten := math.Pow(10, math.Floor(math.Log10((high-low)/float64(t.most))))
	for _, s := range []float64{1, 2, 5, 10} {
		if (high-low)/(s*ten) <= float64(t.most) {
			return s * ten
		}
	}
	return 20 * ten
}

// Ticks are the labelled steps between low and high.
func (t ticks) Ticks(low, high float64) []plot.Tick {
	if t.ratios {
		return t.ofRatios(low, high)
	}
	step := t.step(low, high)
	var all []plot.Tick
	for i := math.Ceil(low/step - 1e-9); i*step <= high+step*1e-9; i++ {
		all = append(all, plot.Tick{Value: i * step, Label: minus(say.Significant(i*step, 6))})
	}
	return all
}

func (t ticks) ofRatios(low, high float64) []plot.Tick {
	var all []plot.Tick
	for _, v := range say.LogTicks(low, high, t.most+2) {
		all = append(all, plot.Tick{Value: v, Label: say.Tick(v, true)})
	}
	return all
}

// minus writes U+2212, which is as wide as the figures beside it.
func minus(s string) string {
	if len(s) > 0 && s[0] == '-' {
		return "\u2212" + s[1:]
	}
	return s
}
