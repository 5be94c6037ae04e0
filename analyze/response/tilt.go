package response

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/audio"
)

// leanTilt is the slope in dB an octave from which a response is called bassy or
// thin: 2 dB over the two octaves between the middles of the lowest and the highest
// band. Common practice, no source.
const leanTilt = 1

// lean puts the tilt in a word: only if its whole interval lies beyond leanTilt is
// the response called bassy or thin.
func (r *listener) lean() {
	t := r.Tilt
	switch {
	case !t.OK():
		r.Lean = ""
	case t.HasInterval() && t.High < -leanTilt:
		r.Lean = analyze.LeanBassy
	case t.HasInterval() && t.Low > leanTilt:
		r.Lean = analyze.LeanThin
	case t.HasInterval() && t.Low >= -leanTilt && t.High <= leanTilt:
		r.Lean = analyze.LeanEven
	default:
		r.Lean = analyze.LeanOpen
	}
}

// talkerSD is the standard deviation that the spread between talkers gives a
// figure made of third-octave levels.
func talkerSD(hz []float64, w audio.Weights) float64 {
	slope, square := 0.0, 0.0
	for i, f := range hz {
		slope += w[i] * audio.Octaves(f)
		square += w[i] * w[i]
	}
	return math.Hypot(analyze.TalkerTilt*slope, analyze.TalkerBand*math.Sqrt(square))
}
