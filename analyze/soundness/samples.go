package soundness

import (
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/chunk"
	"hisspoint/analyze/internal/track"
	"hisspoint/capture"
	"hisspoint/capture/note"
)

// Limits of what single samples may show.
const (
	offsetMost   = 0.02  // of full scale; or, beside a weaker sound,
	offsetBeside = 0.005 // if it outweighs the sound
	lowTone      = -50   // dBFS, of a tone recorded with at most 16 bits
	lowSteps     = 3     // RMS in steps of the card, without a tone
	coarseGrid   = 16    // steps of 16 bits
	fewTops      = 3     // flat tops that are no chance
	smoother     = 8     // times smoother with its bytes exchanged
)

// samples warns of what single samples show.
func (s *sound) samples() {
	s.numbers()
	s.clipping()
	s.stillness()
	s.steps()
	s.offset()
	s.rate()
}

// each visits the chunks with the time at which each starts and a function that
// turns places in it into times in the file.
func (s *sound) each(f func(x *track.Samples, times func(at []int) []float64)) {
	start := 0
	for i := range s.parts {
		x := &s.parts[i].Samples
		f(x, func(at []int) []float64 {
			out := make([]float64, len(at))
			for k, a := range at {
				out[k] = float64(start+a) / float64(s.r.Rate)
			}
			return s.fromFile(out)
		})
		start += x.N
	}
}

func (s *sound) numbers() {
	bad, beyond, peak := 0, 0, 0.0
	var beyondAt []float64
	s.each(func(x *track.Samples, times func([]int) []float64) {
		bad += x.NotFinite
		s.bad = append(s.bad, times(x.BadAt)...)
		beyond += x.Beyond
		beyondAt = append(beyondAt, times(x.BeyondAt)...)
		peak = math.Max(peak, math.Max(x.Max, -x.Min))
	})
	if bad > 0 {
		s.warn(capture.NotFinite, note.Of("not-finite", bad, note.Times(s.bad[:1])), s.bad)
	}
	if beyond > 0 {
		s.warn(capture.BeyondFullScale, note.Of("beyond-full-scale", beyond, note.Share(peak)), beyondAt)
	}
}

// clipping looks for flat tops at the extremes of the whole recording.
func (s *sound) clipping() {
	top, bottom := math.Inf(-1), math.Inf(1)
	for _, p := range s.parts {
		top, bottom = math.Max(top, p.Samples.Max), math.Min(bottom, p.Samples.Min)
	}
	count := 0
	var at []float64
	s.each(func(x *track.Samples, times func([]int) []float64) {
		if x.High.Level >= 0.98*top {
			count += x.High.Count
			at = append(at, times(x.High.At)...)
		}
		if x.Low.Level <= 0.98*bottom {
			count += x.Low.Count
			at = append(at, times(x.Low.At)...)
		}
	})
	at = apart(at)
	bits := 16
	if s.r.Origin.Bits > 0 {
		bits = min(bits, s.r.Origin.Bits)
	}
	full := 1 - 1.6*math.Exp2(float64(1-bits))
	switch {
	case count == 0:
	case top >= full || bottom <= -full:
		s.warn(capture.Clipped, note.Of("clipped", count), at)
	case count >= fewTops:
		level := 20 * math.Log10(math.Max(top, -bottom))
		s.warn(capture.ClippedBelow, note.Of("clipped-below", count, note.DBFS(level)), at)
	}
}

// apart are the times in order, without those that follow another within 0.1 s: both
// sides of a wave clip in the same moment.
func apart(at []float64) []float64 {
	slices.Sort(at)
	out := at[:0]
	for _, v := range at {
		if len(out) == 0 || v-out[len(out)-1] >= 0.1 {
			out = append(out, v)
		}
	}
	return out
}

// step is the step of the samples: that of the file's bits, or a coarser one that they keep to.
func (s *sound) step() float64 {
	step := 0.0
	if b := s.r.Origin.Bits; b > 0 && b <= 32 {
		step = math.Exp2(float64(1 - b))
	}
	return math.Max(step, s.grid())
}

// grid is the coarse step that all samples keep to; 0 if there is none.
func (s *sound) grid() float64 {
	g := int64(0)
	for _, p := range s.parts {
		a, b := g, p.Samples.Grid
		if b == 0 && p.Samples.Power > 0 {
			return 0
		}
		for b != 0 {
			a, b = b, a%b
		}
		g = a
	}
	if g < coarseGrid<<8 {
		return 0
	}
	return float64(g) / (1 << 23)
}

func (s *sound) steps() {
	o := s.r.Origin
	s.swapped()
	if g := s.grid(); g > 0 && o.Bits > 8 && o.Encoding != "a-law" && o.Encoding != "mu-law" && s.spans(g) {
		s.warn(capture.CoarseSteps, note.Of("coarse-steps", note.Share(g), note.Bits(1-math.Log2(g)), o.Bits), nil)
	}
	step := math.Max(math.Exp2(-15), s.step())
	level, tone := math.Sqrt(s.t.Total), 10*math.Log10(2*s.t.TonePower)
	switch {
	case s.t.Total == 0:
	case s.t.WithTone > 0 && s.t.TonePower > chunk.MinToneShare*s.t.Nd:
		if tone < lowTone && o.Bits <= 16 {
			s.warn(capture.LowLevel, note.Of("low-tone", note.DBFS(tone)), nil)
		}
	case level < lowSteps*step && o.Bits <= 16:
		s.warn(capture.LowLevel, note.Of("few-steps", note.DBFS(analyze.DBFS(s.t.Total))), nil)
	}
}

// spans tells whether the sound moves over enough steps of that size for the size to
// mean something.
func (s *sound) spans(g float64) bool {
	for _, p := range s.parts {
		if p.Samples.Max-p.Samples.Min >= 8*g {
			return true
		}
	}
	return false
}

// swapped warns of samples whose bytes stand the wrong way round.
func (s *sound) swapped() {
	for _, p := range s.parts {
		for _, with := range []float64{p.Samples.SwapSmooth, p.Samples.SwapSmooth3} {
			if with > 0 && with*smoother < p.Samples.Smooth && p.Samples.Smooth > 1 {
				s.warn(capture.BytesSwapped, note.Of("bytes-swapped"), nil)
				return
			}
		}
	}
}

func (s *sound) offset() {
	d := math.Abs(s.t.Offset)
	if d > offsetMost || d > offsetBeside && d*d > s.t.Total && s.t.Total > 0 {
		s.warn(capture.DCOffset, note.Of("dc-offset", note.Percent(100*s.t.Offset)), nil)
	}
}

const wrongLabel = 0.0015 // generators and cards are truer than that

// rate warns where a tone stands just where a wrong sample rate in the header puts it:
// 1000 Hz sampled at 48 kHz and labelled 44.1 kHz stands at 918.75 Hz.
func (s *sound) rate() {
	if s.t.WithTone == 0 {
		return
	}
	is := s.t.Tone.Hz / s.how.Tone()
	for _, l := range []struct{ label, true float64 }{{44100, 48000}, {48000, 44100}} {
		for _, k := range []float64{1, 2, 4, 0.5} {
			if float64(s.r.Rate) == l.label*k && math.Abs(is/(l.label/l.true)-1) < wrongLabel {
				s.warn(capture.RateSuspect, note.Of("rate-suspect", note.Hz(s.t.Tone.Hz), note.Hz(s.how.Tone()), note.Hz(l.label*k), note.Hz(l.true*k)), nil)
			}
		}
	}
}
