package parts

import (
	"fmt"

	"hisspoint/analyze/internal/segment"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

const levelChange = 0.25 // dB by which a tone's level changes at least from step to step

// LevelSteps finds the n plateaus of a recording in which a constant tone was
// stepped in level: by the volume control, or at a transmitter's input. n = 0
// finds their number. Only the tone counts: what else changes is no step. Where
// the plateaus found are not n, or one does not keep still, the error wraps
// a Misfit and the parts are what was found. Domain: n from 0 to 60; plateaus of
// 1.5 s or more that differ by 0.25 dB or more and by what noise lets see.
func LevelSteps(r capture.Recording, n int, how job.Reading) ([]Part, error) {
	if n < 0 || n > Most {
		return nil, fmt.Errorf("%s: steps are found for 1 to %d levels, not %d", r.Origin.File, Most, n)
	}
	b, err := blocksOf(r, how)
	if err != nil {
		return nil, err
	}
	if b.blocks(stepMin) > len(b.x) {
		return nil, fmt.Errorf("%s: is %.1f s long, too short for steps: leave 3 s for each", r.Origin.File, r.Seconds())
	}
	for i := range b.x {
		b.x[i] = b.x[i][:featTone+1]
	}
	o := segment.Options{Min: b.blocks(stepMin), Most: Most, Floor: []float64{floorTone}, Least: []float64{levelChange}}
	var cut segment.Cut
	if n > 0 {
		cut = b.known(n+stepSpare, o)
	} else {
		cut, _ = segment.Find(b.x, o)
	}
	parts := b.parts(cut)
	if n == 0 {
		n = len(parts)
	}
	if why := Unfit(parts, n, "level"); why != "" {
		return parts, &Misfit{r.Origin.File, why, times(parts)}
	}
	return parts, nil
}
