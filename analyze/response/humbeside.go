package response

import (
	"math"

	"hisspoint/analyze/internal/audio"
)

// besideTones are the mean squares of lines on multiples of the mains as each is heard
// while other tones sound: Hz -> the largest.
type besideTones map[float64]float64

// Multiples of both mains that a tone may stand on.
const humTop = 620 // Hz

// within is how many bins away two lines of a Hann window are one.
const within = 4

// listen reads the hum beside a tone and its harmonics.
func (b besideTones) listen(s *audio.Stretch, tone heardTone) {
	for _, mains := range []float64{50, 60} {
		for hz := mains; hz < humTop; hz += mains {
			of := math.Max(1, math.Round(hz/tone.hz)) * tone.hz
			if math.Abs(hz-of) < 2*within*tone.bin {
				continue
			}
			if l := s.At(hz); l.Counts() {
				b[hz] = math.Max(b[hz], l.Power)
			}
		}
	}
}

// onto is the standard uncertainty in dB that hum of the tone's own frequency gives its
// level: voltages of unknown phase, r = hum over tone, 20 log10(1 + r) at most, u-shaped
// (ETSI TR 100 028).
func (b besideTones) onto(tone heardTone) float64 {
	most := 0.0
	for hz, power := range b {
		if math.Abs(hz-tone.hz) < within*tone.bin {
			most = math.Max(most, power)
		}
	}
	return 20 * math.Log10(1+math.Sqrt(most/math.Pow(10, tone.dB/10))) / math.Sqrt2
}
