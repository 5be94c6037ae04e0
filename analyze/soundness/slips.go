package soundness

import (
	"math"

	"hisspoint/analyze/internal/chunk"
	"hisspoint/capture"
	"hisspoint/capture/note"
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
	jumps := note.Of("phase-jumps", note.Times(at))
	if n := len(at); n > 1 {
		jumps = note.Of("phase-jumps-often", n, note.Times(at))
	}
	rest := "slips-between"
	if t.ManySlips() {
		rest = "slips-at-least"
	}
	s.warn(capture.DroppedSamples, note.Of(rest, jumps, slipNote(lost, doubled, unclear)), at)
}

// slipNote says how many samples are missing or doubled, as far as the phase tells.
func slipNote(lost, doubled float64, unclear int) note.Note {
	samples := func(n float64, what string) note.Note {
		if n == 1 {
			return note.Of("one-sample-" + what)
		}
		return note.Of("samples-"+what, note.Count(n))
	}
	switch {
	case unclear > 0:
		return note.Of("samples-unclear")
	case doubled == 0:
		return note.Of("or-cycles-more", samples(lost, "lost"))
	case lost == 0:
		return note.Of("or-cycles-more", samples(doubled, "doubled"))
	}
	return note.Run(samples(lost, "lost"), " and ", samples(doubled, "doubled"))
}
