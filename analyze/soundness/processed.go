package soundness

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/beside"
	"hisspoint/analyze/internal/chunk"
	"hisspoint/analyze/internal/grid"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

const (
	leastSINAD   = 3.0                  // dB, in which the noise beside a tone is looked at
	mostSINAD    = 60.0                 //
	gridSINAD    = 16.0                 // dB, above which coders matter
	coderSINAD   = 25.0                 // dB, above which a coder may do what a suppressor does
	besideLeast  = 1.0                  // s
	doubtDB      = 3.0                  // that the estimate of a suppressor's effect errs by, 19 times in 20
	rounding     = 1.0 / 12 / (1 << 30) // mean square of the steps of 16 bits
	overRounding = 8                    // times that, the least noise that is looked at
	skirtKeyed   = 0.03                 // share of the tone's power beside it that keying makes
	dithered     = 4                    // times rounding, at most, of steps with even dither
	opusDithered = 227                  // of the shaped dither of Opus' own decoder there (measured)
)

// processing looks for what suppressors and coders leave for good, in the part in use.
func (s *sound) processing(t chunk.Totals) error {
	s.m.Coded = s.how.Source
	if e := s.r.Origin.Encoding; s.m.Coded == "" && (e == "mu-law" || e == "a-law") {
		s.m.Coded = job.SourceMuLaw
	}
	tone, sinad := s.steadyTone(t)
	var v beside.Verdict
	if tone > 0 && !s.uneven && sinad >= leastSINAD && sinad <= mostSINAD && t.Seconds >= besideLeast &&
		t.Beside.Floor()*float64(s.r.Rate)/2 > overRounding*rounding && !t.Swayed() {
		v = t.Beside.Judge(t.Seconds)
	}
	if s.maybeCoded(t) && (tone == 0 || sinad > gridSINAD || v.Shape == beside.Dense) {
		x, err := s.middle()
		if err != nil {
			return err
		}
		if tone == 0 {
			tone = t.Other.Hz
		}
		if f, ok := grid.Find(x, float64(s.r.Rate), tone); ok {
			if s.m.Coded == "" {
				s.m.Coded = f.Coder
			}
			if v.Shape == beside.Dense { // by a coder, or by a suppressor before it: nothing tells
				v.Shape, s.m.Misreads = beside.Even, analyze.EitherWay
			}
		}
	}
	s.beside(t, v, sinad)
	s.coded(sinad)
	return nil
}

// steadyTone is the frequency of the tone and its SINAD in dB; 0 without one, or if
// it is keyed.
func (s *sound) steadyTone(t chunk.Totals) (hz, sinad float64) {
	if t.WithTone == 0 || t.WithTone < t.Parts || t.Nd <= 0 || t.TonePower < chunk.MinToneShare*t.Nd || t.Skirt > skirtKeyed*t.TonePower {
		return 0, 0
	}
	return t.Tone.Hz, 10 * math.Log10(1+t.TonePower/t.Nd)
}

// maybeCoded tells whether it is worth looking for a grid: what was recorded with a
// card has the card's noise up to half the sample rate, where a coder leaves nothing
// but the steps of its samples, dithered or not.
func (s *sound) maybeCoded(t chunk.Totals) bool {
	o := s.r.Origin
	file := o.Container != "" && o.Container != "memory" && (o.Bits >= 16 || o.Encoding == "float")
	top := t.Top * float64(s.r.Rate) / 2 / rounding
	return file && (top < dithered || s.r.Rate == 48000 && math.Abs(top/opusDithered-1) < 0.1)
}

// middle are the samples from the middle of the part in use.
func (s *sound) middle() ([]float64, error) {
	r := s.used
	n := min(r.Count, int64(grid.MostSeconds*float64(r.Rate)))
	r, err := r.Cut((r.Count-n)/2, n)
	if err != nil {
		return nil, err
	}
	x := make([]float64, 0, n)
	for b, err := range r.Blocks() {
		if err != nil {
			return nil, err
		}
		x = append(x, b...)
	}
	return x, nil
}

// beside warns of what the noise beside the tone shows.
func (s *sound) beside(t chunk.Totals, v beside.Verdict, sinad float64) {
	switch v.Shape {
	case beside.Hole:
		s.m.Misreads = analyze.TooLow
		s.warn(capture.ProcessedAudio, note.Of("noise-hole", note.DB(v.DB)), nil)
	case beside.Dense:
		s.m.Misreads = analyze.TooHigh
		before := math.Max(t.Nd, t.Nd-t.Noise+t.Lifted)
		by := math.Max(0, sinad-10*math.Log10(1+t.TonePower/before))
		or := note.Of("or-filter-peaks")
		if v.Filter {
			or = note.Of("or-narrow-filter")
		}
		if sinad > coderSINAD {
			or = note.Of("or-coder", or)
		}
		s.warn(capture.ProcessedAudio, note.Of("noise-dense", note.DB(v.DB), or, note.DB(math.Ceil(by+doubtDB))), nil)
	}
}

// coded warns of sound that came another way than by cable.
func (s *sound) coded(sinad float64) {
	if s.m.Coded == "" {
		return
	}
	said := []any{note.Of("was-coded", Words(s.m.Coded))}
	if s.how.Source != "" {
		said[0] = note.Of("came-by", Words(s.m.Coded))
	}
	if e := MisreadOf(s.m.Coded, sinad); sinad > 0 && e.Open {
		said = append(said, note.Of("coded-at-least", note.DB(sinad-e.High)))
	} else if sinad > 0 {
		said = append(said, note.Of("coded-by", note.DB(e.Low), note.DB(e.High)))
	}
	if s.m.Misreads == analyze.EitherWay {
		said = append(said, note.Of("coded-or-suppressed"))
	}
	if LosesNoise(s.m.Coded) {
		said = append(said, note.Of("coded-noise"))
	}
	s.m.Warnings = append(s.m.Warnings, capture.Warning{Code: capture.CodedAudio, Says: note.Run(said...)})
}
