package watch

import (
	"math"

	"hisspoint/analyze"
)

// A scale is 40 dB from its poor end to its good one. That of SINAD is 0 to 40 dB and
// that of distortion 30 % to 0.3 %. Hiss and audio have no place of their own (the
// card's gain is in them), so theirs lie about the first reading and go on by 10 dB
// where a reading leaves them; what was told by then keeps its pitch.
const (
	scaleDB  = 40
	poorest  = 30 // % of distortion
	worsened = 10 // dB of more hiss than at the start
	quieter  = 20 // dB of less audio than at the start
	goOnDB   = 10
	mostDB   = 120 // a scale goes on no further than this from where it began
)

// A pitch tells the place on the scale: 220 Hz at the poor end, and an equally tempered
// semitone (ISO 16: a factor of 2^(1/12)) for each dB, so that the ear hears the same
// step wherever it is. It is held where it would leave what a small speaker gives.
const (
	lowestHz  = 220
	semitones = 12
	leastHz   = 110
	mostHz    = 3520
)

// scale is where the merit of a reading stands.
type scale struct {
	poor, good float64 // merits of the ends
	zero       float64 // merit of the lowest pitch
	grows      bool
	set        bool
}

// begin places a scale by the first reading.
func (s *scale) begin(aim string, merit float64) {
	if s.set {
		return
	}
	switch aim {
	case analyze.AimSINAD:
		s.poor = 0
	case analyze.AimDistortion:
		s.poor = -20 * math.Log10(poorest)
	case analyze.AimHiss:
		s.poor, s.grows = merit-worsened, true
	default:
		s.poor, s.grows = merit-quieter, true
	}
	s.zero, s.good, s.set = s.poor, s.poor+scaleDB, true
}

// reach lets a scale that has no ends of its own go on to a reading.
func (s *scale) reach(merit float64) {
	for s.grows && merit < s.poor && s.zero-s.poor < mostDB {
		s.poor -= goOnDB
	}
	for s.grows && merit > s.good && s.good-s.zero < mostDB {
		s.good += goOnDB
	}
}

func (s *scale) place(merit float64) float64 {
	return math.Max(0, math.Min(1, (merit-s.poor)/(s.good-s.poor)))
}

// pitch is the pitch in Hz of a merit in dB.
func (s *scale) pitch(merit float64) float64 {
	return math.Max(leastHz, math.Min(mostHz, lowestHz*math.Exp2((merit-s.zero)/semitones)))
}
