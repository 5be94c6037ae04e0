package reading

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// PickChannel chooses the channel that carries the tone: the one in which it
// stands clearest, or the loudest if none has it. The first of equal ones wins.
func PickChannel(channels []capture.Recording, how job.Reading) (int, error) {
	best, bestSINAD, bestLevel := 0, math.Inf(-1), math.Inf(-1)
	for i, r := range channels {
		if seconds := 10 * int64(r.Rate); r.Count > seconds {
			var err error
			if r, err = r.Cut((r.Count-seconds)/2, seconds); err != nil {
				return 0, err
			}
		}
		m, err := Measure(r, how)
		if err != nil {
			return 0, err
		}
		s, l := math.Inf(-1), math.Inf(-1)
		if x := m.Get(analyze.SINAD); x.OK() {
			s = x.Value
		}
		if x := m.Get(analyze.Level); x.OK() {
			l = x.Value
		}
		const clear = 0.1
		if s > bestSINAD+clear || (s == bestSINAD && l > bestLevel+clear) || i == 0 {
			best, bestSINAD, bestLevel = i, s, l
		}
	}
	return best, nil
}
