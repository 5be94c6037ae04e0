package kind

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/keyed"
	"hisspoint/analyze/reading"
)

// heard is what an open stretch holds.
type heard struct {
	keyed     bool // a tone or a steady noise: what a keyed signal sounds like
	toldApart bool // the moment at which the signal went is known
	gone      int  // that moment, as a sample of the recording
	goneLow,
	goneHigh int
	sinad analyze.Reading // while the signal was there
}

// gainSure is how much likelier a change has to be than none: for a
// change-point among many places, twice the Bayesian penalty of a long stretch.
const gainSure = 20

// heard listens to an open stretch.
func (s *squelch) heard(first, last int) (heard, error) {
	rate := float64(s.r.Rate)
	settle := int(settleSeconds * rate)
	w := heard{gone: last, goneLow: last, goneHigh: last, sinad: analyze.None(analyze.SINAD, "dB", "tone-missing")}
	if float64(last-first) < 0.08*rate {
		// Too short to hear anything in: a burst, as chatter makes them.
		w.keyed = true
		return w, nil
	}
	hz, found, err := s.toneIn(first+settle, last)
	if err != nil {
		return w, err
	}
	if !found {
		return s.noiseOnly(w, first, last)
	}
	w.keyed = true
	coarse, err := s.toneEnds(first+settle, last, hz)
	if err != nil {
		return w, err
	}
	if err := s.toneGone(&w, first+settle, coarse, last, hz); err != nil {
		return w, err
	}
	if end := w.goneLow - int(0.01*rate); float64(end-first-settle) >= 0.2*rate {
		part, err := s.r.Cut(int64(first+settle), int64(end-first-settle))
		if err != nil {
			return w, err
		}
		how := s.how
		how.ToneHz = hz
		m, err := reading.Measure(part, how)
		if err != nil {
			return w, err
		}
		w.sinad = m.Get(analyze.SINAD)
	}
	return w, nil
}

// toneIn looks for the tone in the beginning of a stretch, where the signal is
// surely there.
func (s *squelch) toneIn(first, last int) (hz float64, found bool, err error) {
	n := min(last-first, max((last-first)/2, int(0.12*float64(s.r.Rate))))
	part, err := s.r.Cut(int64(first), int64(n))
	if err != nil {
		return 0, false, err
	}
	m, err := reading.Measure(part, s.how)
	if err != nil {
		return 0, false, nil // shorter than what can be measured
	}
	f := m.Get(analyze.ToneFrequency)
	if !f.OK() && m.OtherTone != 0 { // any tone tells when the signal is there
		return m.OtherTone, true, nil
	}
	return f.Value, f.OK(), nil
}

// noiseOnly is a stretch without a tone: the hiss of a squelch that opened on
// noise, or a carrier that was not modulated, which is quieter than its tail.
func (s *squelch) noiseOnly(w heard, first, last int) (heard, error) {
	power := s.envelope.Power[min(first/s.envelope.Hop+1, len(s.envelope.Power)):min(last/s.envelope.Hop, len(s.envelope.Power))]
	if levelScatter(power) < steadyNoise {
		w.keyed = true // one noise from end to end
		return w, nil
	}
	x, err := s.read(first, last)
	if err != nil {
		return w, err
	}
	d := differences(x)
	at, low, high, gain := keyed.Change(d, d, s.spread())
	hop := s.envelope.Hop
	cut := min(len(power), max(0, at/hop))
	if gain > gainSure && levelScatter(power[:cut]) < steadyNoise && levelScatter(power[min(len(power), cut+1):]) < steadyNoise {
		w.keyed, w.toldApart = true, true
		w.gone, w.goneLow, w.goneHigh = first+at, first+low, first+high
	}
	return w, nil
}

// toneEnds is roughly where the tone ends: of the amplitudes at its frequency in
// steps of 2.5 ms, the split that leaves the least squares around two means.
func (s *squelch) toneEnds(first, last int, hz float64) (int, error) {
	rate := float64(s.r.Rate)
	hop := max(1, int(0.0025*rate))
	win := max(4*hop, int(2*rate/hz))
	x, err := s.read(first, last)
	if err != nil {
		return last, err
	}
	var amp []float64
	for i := 0; i+win <= len(x); i += hop {
		amp = append(amp, amplitudeAt(x[i:i+win], hz/rate))
	}
	at := keyed.Split(amp)
	return first + at*hop + win/2*boolInt(at < len(amp)), nil
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// amplitudeAt is that of a tone of so many cycles a sample, through a Hann window.
func amplitudeAt(x []float64, cycles float64) float64 {
	var re, im, sum float64
	for i, v := range x {
		h := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(len(x)))
		sin, cos := math.Sincos(2 * math.Pi * cycles * float64(i))
		re += h * v * cos
		im += h * v * sin
		sum += h
	}
	return 2 * math.Hypot(re, im) / sum
}

// toneGone is the sample at which the tone, fitted before coarse, no longer
// explains the sound.
func (s *squelch) toneGone(w *heard, first, coarse, last int, hz float64) error {
	rate := float64(s.r.Rate)
	guard, reach := int(0.015*rate), int(0.05*rate)
	from := max(first, coarse-int(0.25*rate))
	fitted, err := s.read(from, max(from, coarse-guard))
	if err != nil || float64(len(fitted)) < 3*rate/hz {
		return err
	}
	tone := keyed.Fit(fitted, 2*math.Pi*hz/rate)
	begin, end := max(from, coarse-reach), min(last, coarse+reach)
	x, err := s.read(begin, end)
	if err != nil {
		return err
	}
	rest := make([]float64, len(x))
	for i, v := range x {
		rest[i] = v - tone.At(float64(begin+i-from))
	}
	at, low, high, gain := keyed.Change(rest, centred(x), s.spread())
	w.toldApart = true
	if gain > gainSure {
		w.gone, w.goneLow, w.goneHigh = begin+at, begin+low, begin+high
	}
	return nil
}

// centred is x without its mean.
func centred(x []float64) []float64 {
	mean := 0.0
	for _, v := range x {
		mean += v
	}
	mean /= float64(max(1, len(x)))
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v - mean
	}
	return out
}
