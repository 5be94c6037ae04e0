package watch

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/audio"
	"hisspoint/analyze/response"
	"hisspoint/capture"
	"hisspoint/capture/signal"
)

const (
	pieceSeconds = 1.5 // of a signal without parts

	likeness = 0.25 // least correlation of a piece with its place: a line 12 dB below the noise beside it has it

	lateS = 0.008 // by how much neighbours may be apart: group delays of audio filters, clocks

	playedRate = 6000 // samples a second that the comparison is made at
)

// Played looks for a signal in a recording that began before it and ended after it.
// Each of its pieces (tones, or stretches of 1.5 s) is moved along the recording to
// where the magnitude of its correlation is largest; where a piece comes earlier or
// later than the one before it did by more than 8 ms, samples were lost: in it, or at
// the end of the one before. Of one tone at several levels only the whole has a place,
// and losses within it are not seen.
func Played(r capture.Recording, s signal.Signal) (analyze.PlayedCheck, error) {
	x, err := response.SamplesOf(r)
	if err != nil {
		return analyze.PlayedCheck{}, err
	}
	rate := float64(r.Rate)
	y := audio.Thinned(x, rate, playedRate)
	parts := s.Parts
	switch {
	case s.Kind == signal.KindLevels: // one tone fits wherever it is louder, so its parts have no places of their own
		parts = []signal.Part{{From: 0, To: s.Seconds()}}
	case len(parts) == 0:
		n := max(1, int(s.Seconds()/pieceSeconds))
		for i := range n {
			parts = append(parts, signal.Part{From: s.Seconds() * float64(i) / float64(n), To: s.Seconds() * float64(i+1) / float64(n)})
		}
	}
	var out analyze.PlayedCheck
	var delays []float64
	was := false
	slack := r.Seconds() - s.Seconds()
	for _, p := range parts {
		piece := s.Samples[int(p.From*float64(s.Rate)):min(len(s.Samples), int(p.To*float64(s.Rate)))]
		first := int(math.Max(0, p.From-lateS-1) * playedRate)
		end := min(len(y), int((p.To+math.Max(0, slack)+1)*playedRate))
		if first >= end {
			continue
		}
		lag, like := audio.Fitting(y[first:end], audio.Thinned(piece, float64(s.Rate), playedRate))
		if like < likeness {
			continue
		}
		delay := float64(first+lag)/playedRate - p.From
		late := len(delays) > 0 && math.Abs(delay-delays[len(delays)-1]) > lateS
		if late && !was { // a piece that has a loss within it is late by a part of it
			out.LostAtS = append(out.LostAtS, math.Round(100*(p.From+delay))/100)
		}
		was = late
		delays = append(delays, delay)
	}
	out.Heard = float64(len(delays)) / float64(len(parts))
	if len(delays) == 0 {
		return out, nil
	}
	out.FromS = math.Max(0, delays[0])
	out.ToS = math.Min(r.Seconds(), s.Seconds()+delays[len(delays)-1])
	span := x[int(out.FromS*rate):min(len(x), max(int(out.FromS*rate)+1, int(out.ToS*rate)))]
	peak := 0.0
	for _, v := range span {
		peak = math.Max(peak, math.Abs(v))
	}
	out.LevelDBFS, out.PeakDBFS = analyze.DBFS(variance(span)), 20*math.Log10(math.Max(peak, 1e-6))
	return out, nil
}
