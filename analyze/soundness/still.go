package soundness

import (
	"math"

	"hisspoint/analyze/internal/chunk"
	"hisspoint/analyze/internal/track"
	"hisspoint/capture"
	"hisspoint/capture/note"
)

const (
	zeroSamples  = 32    // shortest run of zeros
	stillSeconds = 0.005 // shortest run of another value
	soundSteps   = 8     // RMS beside zeros, in steps, from which they are no rounding of a faint sound
)

// still is a run of one value in the whole recording; place counts its samples.
type still struct {
	track.Still
	place     int
	rms, peak float64 // of the chunk that it begins in
}

// stillness warns of zeros, or one value, in the midst of sound. Zeros are told
// whatever their length: whether they stand for sound that was lost or for a
// recorder that muted cannot be seen, unless a tone goes on behind them.
func (s *sound) stillness() {
	longest := 0
	var at []float64
	step := s.step()
	rounding := step
	if step == 0 { // of samples that are not rounded: as of 16 bits
		rounding = math.Exp2(-15)
	}
	loudest := 0.0
	for _, p := range s.parts {
		loudest = math.Max(loudest, math.Max(p.Samples.Max, -p.Samples.Min))
	}
	rate := float64(s.r.Rate)
	for _, r := range stills(s.parts) {
		beside := math.Min(r.Before, r.After)
		told := beside >= r.rms/4 && beside > 0
		need := zeroSamples
		if r.Value != 0 {
			need = max(need, int(stillSeconds*rate))
			told = told && math.Abs(r.Value) <= 0.9*r.peak
		} else {
			told = told || beside >= soundSteps*rounding
		}
		if r.Length >= need && told && loudest >= soundSteps*step {
			longest = max(longest, r.Length)
			at = append(at, float64(r.place)/rate)
		}
	}
	if len(at) == 0 {
		return
	}
	at = s.fromFile(at)
	sentence := "stood-still-or-muted"
	if s.t.WithTone > 0 && s.t.WithTone == s.t.Parts {
		sentence = "stood-still"
	}
	s.warn(capture.ZeroRun, note.Of(sentence, note.MS(1000*float64(longest)/rate), note.Times(at)), at)
}

// stills are the runs of one value, those across chunks joined. Where a run ends
// with its chunk, the level of the next one stands for the sound beside it.
func stills(parts []chunk.Sums) []still {
	var out []still
	start, open := 0, false // open: the last run reaches the end of its chunk
	for _, p := range parts {
		x := &p.Samples
		rms, goes := math.Sqrt(x.Power), false
		if n := len(out); open && (len(x.Stills) == 0 || x.Stills[0].At > 0) {
			out[n-1].After = rms
		}
		for _, r := range x.Stills {
			n := len(out)
			goes = r.At+r.Length == x.N
			switch {
			case r.At == 0 && open && out[n-1].Value == r.Value:
				out[n-1].Length += r.Length
				out[n-1].After = r.After
				continue
			case r.At == 0 && start > 0:
				r.Before = rmsBefore(parts, start)
			}
			out = append(out, still{Still: r, place: start + r.At, rms: rms, peak: math.Max(x.Max, -x.Min)})
		}
		open = goes
		start += x.N
	}
	return out
}

// rmsBefore is the level of the chunk that ends where the sample start is.
func rmsBefore(parts []chunk.Sums, start int) float64 {
	for _, p := range parts {
		if start -= p.Samples.N; start == 0 {
			return math.Sqrt(p.Samples.Power)
		}
	}
	return 0
}
