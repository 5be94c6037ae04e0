package response

import (
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/audio"
	"hisspoint/capture"
	"hisspoint/capture/note"
	"hisspoint/capture/signal"
)

// What a multitone has to show.
const (
	tonesLeast   = 0.75 // of its tones
	multiShare   = 0.3  // of the power in the band
	multiSeconds = 1
	clockMost    = 300e-6
)

// multitone reads tones that sound all at once.
func (r *listener) multitone(rs []capture.Recording) error {
	if len(rs) != 1 {
		r.Why = "a multitone is read from one recording; name one"
		return nil
	}
	x, err := r.wholeOf(rs[0], "multitone")
	if err != nil || r.Why != "" {
		return err
	}
	rate := float64(rs[0].Rate)
	tones := r.How.TonesHz
	if len(tones) == 0 {
		tones = signal.StandardMultitone()
	}
	missing := "the multitone is not heard in it: play the one that hisspoint signals writes, and record it louder, 2 s or more"
	x = sounding(x, rate)
	if float64(len(x)) < multiSeconds*rate {
		r.Why = missing
		return nil
	}
	s := audio.NewStretch(x, rate)
	clock := clockOf(s, tones)
	if from, to, broken := audio.WholeOfAll(x, scaled(tones, clock), rate); broken {
		if float64(to-from) < multiSeconds*rate {
			r.Kind = analyze.ResponseMultitone
			r.Why = "the multitone jumps or breaks off again and again, as where samples are lost or muted: record it again"
			return nil
		}
		r.warn(capture.Unsteady, note.Of("multitone-broken", note.Seconds(float64(to-from)/rate)))
		s = audio.NewStretch(x[from:to], rate)
	}
	var found []toneLevel
	var weak []float64
	power := 0.0
	for _, hz := range tones {
		l := s.Near(hz*clock, 1.5*s.Bin())
		if hz > 0.45*rate || !l.Counts() {
			weak = append(weak, hz)
			continue
		}
		power += l.Power
		found = append(found, toneLevel{hz, l.DB(), l.SD()})
	}
	if float64(len(found)) < tonesLeast*float64(len(tones)) || len(found) < leastTones || power < multiShare*s.Band(200, math.Min(4000, 0.45*rate)) {
		r.Why = missing
		return nil
	}
	r.Kind = analyze.ResponseMultitone
	slices.SortFunc(found, func(a, b toneLevel) int { return int(math.Copysign(1, a.hz-b.hz)) })
	r.leftOut(weak)
	r.complete(found)
	return nil
}

func scaled(x []float64, by float64) []float64 {
	out := slices.Clone(x)
	for i := range out {
		out[i] *= by
	}
	return out
}

// clockOf is the ratio by which all tones are off, from those that stand out.
func clockOf(s *audio.Stretch, tones []float64) float64 {
	var ratios []float64
	for _, hz := range tones {
		l := s.Near(hz, math.Max(clockMost*hz, s.Bin()))
		if l.Counts() {
			ratios = append(ratios, l.Hz/hz)
		}
	}
	if len(ratios) == 0 {
		return 1
	}
	slices.Sort(ratios)
	return ratios[len(ratios)/2]
}

// sounding is the longest stretch of x whose power stays within 6 dB of the upper
// quarter's, a little off at both ends.
func sounding(x []float64, rate float64) []float64 {
	n := max(1, int(0.05*rate))
	var powers []float64
	for i := 0; i+n <= len(x); i += n {
		sum := 0.0
		for _, v := range x[i : i+n] {
			sum += v * v
		}
		powers = append(powers, sum)
	}
	if len(powers) == 0 {
		return nil
	}
	sorted := slices.Clone(powers)
	slices.Sort(sorted)
	least := sorted[len(sorted)*3/4] / 4
	best, at := 0, 0
	for i := 0; i < len(powers); {
		j := i
		for j < len(powers) && powers[j] >= least {
			j++
		}
		if j-i > best {
			best, at = j-i, i
		}
		i = max(j, i+1)
	}
	if best <= 4 {
		return nil
	}
	return x[(at+1)*n : (at+best-1)*n]
}
