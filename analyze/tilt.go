package analyze

import (
	"math"

	"hisspoint/analyze/internal/response"
)

// What a response sounds like.
const (
	LeanBassy = "bassy"        // too much bass for its treble
	LeanThin  = "thin"         // too little
	LeanEven  = "even"         // neither, to within leanTilt
	LeanOpen  = "undetermined" // the interval leaves it open
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
		r.Lean = LeanBassy
	case t.HasInterval() && t.Low > leanTilt:
		r.Lean = LeanThin
	case t.HasInterval() && t.Low >= -leanTilt && t.High <= leanTilt:
		r.Lean = LeanEven
	default:
		r.Lean = LeanOpen
	}
}

// How far the long-term spectra of talkers differ from their mean, taken as a
// slope of its own for each and a difference of its own in each third octave, as
// standard deviations. Common practice, no source: third-octave levels of single
// talkers are usually met within some 3 to 5 dB of the mean, and slopes within
// 1 to 2 dB an octave, which loud and soft talking covers too.
const (
	TalkerTilt = 1.0 // dB an octave
	TalkerBand = 3.0 // dB in a third-octave band
)

// talkerSD is the standard deviation that the spread between talkers gives a
// figure made of third-octave levels.
func talkerSD(hz []float64, w response.Weights) float64 {
	slope, square := 0.0, 0.0
	for i, f := range hz {
		slope += w[i] * response.Octaves(f)
		square += w[i] * w[i]
	}
	return math.Hypot(TalkerTilt*slope, TalkerBand*math.Sqrt(square))
}
