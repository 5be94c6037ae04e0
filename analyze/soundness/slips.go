package soundness

import (
	"fmt"
	"math"

	"hisspoint/analyze/internal/chunk"
	"hisspoint/capture"
)

// slipped says where samples are missing or doubled. A sound of which t are the sums
// begins at that time in the file.
func (s *sound) slipped(t chunk.Totals, from float64) {
	if len(t.Slips) == 0 {
		return
	}
	var at []float64
	lost, doubled, unclear := 0.0, 0.0, 0
	for _, l := range t.Slips {
		at = append(at, math.Round(1000*(l.Seconds+from))/1000)
		n := math.Round(math.Abs(l.Samples))
		switch whole := l.Sure && n > 0 && math.Abs(math.Abs(l.Samples)-n) < 0.25 && l.Sigma < 0.25; {
		case !whole:
			unclear++
		case l.Samples > 0:
			lost += n
		default:
			doubled += n
		}
	}
	text := "the phase of the tone jumps " + places(at)
	if n := len(at); n > 1 {
		text = fmt.Sprintf("the phase of the tone jumps %d times, %s", n, places(at))
	}
	text += ": " + slipWords(lost, doubled, unclear) + " while recording; close other programs, or use another input; "
	if t.ManySlips() {
		text += "so often that SINAD and S/N are at least what they read"
	} else {
		text += "the figures are those of the sound between"
	}
	s.warn(capture.DroppedSamples, text, at)
}

// slipWords says how many samples are missing or doubled, as far as the phase tells.
func slipWords(lost, doubled float64, unclear int) string {
	samples := func(n float64, what string) string {
		if n == 1 {
			return "1 sample was " + what
		}
		return fmt.Sprintf("%.0f samples were %s", n, what)
	}
	switch {
	case unclear > 0:
		return "samples were lost or doubled"
	case doubled == 0:
		return samples(lost, "lost") + " (or whole cycles more)"
	case lost == 0:
		return samples(doubled, "doubled") + " (or whole cycles more)"
	}
	return samples(lost, "lost") + " and " + samples(doubled, "doubled")
}
