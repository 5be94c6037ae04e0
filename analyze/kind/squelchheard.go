package kind

import (
	"math"

	"gonum.org/v1/gonum/stat"

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
	hz    float64         // of the tone; 0: none
	sinad analyze.Reading // while the signal was there
}

// gainSure is how much likelier a change has to be than none: for a
// change-point among many places, twice the Bayesian penalty of a long stretch.
const gainSure = 20

// heard listens to an open stretch.
func (s *squelch) heard(first, last int) (heard, error) {
	rate := float64(s.r.Rate)
	settle := min(int(settleSeconds*rate), (last-first)/8)
	w := heard{gone: last, goneLow: last, goneHigh: last, sinad: analyze.None(analyze.SINAD, "dB", "tone-missing")}
	hz, found, err := s.toneIn(first+settle, last)
	if err != nil {
		return w, err
	}
	if !found && float64(last-first) < shortSeconds*rate {
		if hz, found, err = s.shortTone(first+settle, first+(last-first)/3); err != nil {
			return w, err
		}
	}
	if !found {
		return s.noiseOnly(w, first, last)
	}
	w.keyed, w.hz = true, hz
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

// A short opening has its tone in the first third, which is too little to be measured.
const (
	shortSeconds = 0.6  // longest opening that is looked at so
	shortLeast   = 0.01 // s of a third in which a tone can be told
	shortMost    = 0.2  // s of it that are looked at
	shortShare   = 0.6  // of the power that one sine explains ...
	shortHalf    = 0.5  // ... and of that in either half, so that it is there throughout
	lowestHz     = 250
)

// shortTone looks for one sine that explains what is heard from first to before last.
func (s *squelch) shortTone(first, last int) (hz float64, found bool, err error) {
	rate := float64(s.r.Rate)
	x, err := s.read(first, min(last, first+int(shortMost*rate)))
	if err != nil || float64(len(x)) < shortLeast*rate {
		return 0, false, err
	}
	x = centred(x)
	seconds := float64(len(x)) / rate
	most, at := 0.0, 0.0
	for f := float64(lowestHz); f < min(speechBandHz, 0.45*rate); f += 0.25 / seconds {
		if a := amplitudeAt(x, f/rate); a > most {
			most, at = a, f
		}
	}
	if at == 0 {
		return 0, false, nil
	}
	tone := keyed.Fit(x, 2*math.Pi*at/rate)
	explains := func(from, to int) float64 {
		whole, rest := 0.0, 0.0
		for i := from; i < to; i++ {
			d := x[i] - tone.At(float64(i))
			whole += x[i] * x[i]
			rest += d * d
		}
		return 1 - rest/math.Max(whole, 1e-30)
	}
	n := len(x)
	found = explains(0, n) >= shortShare && explains(0, n/2) >= shortHalf && explains(n/2, n) >= shortHalf
	return tone.W * rate / (2 * math.Pi), found, nil
}

// noiseOnly is a stretch without a tone: the hiss of a squelch that opened on noise, a
// carrier that was not modulated, which is quieter than its tail, or a burst too short
// to hear anything in, as chatter makes them. When its signal went cannot be told:
// bursts of data end like that, too.
func (s *squelch) noiseOnly(w heard, first, last int) (heard, error) {
	power := s.envelope.Power[min(first/s.envelope.Hop+1, len(s.envelope.Power)):min(last/s.envelope.Hop, len(s.envelope.Power))]
	if float64(last-first) < burstSeconds*float64(s.r.Rate) || levelScatter(power) < steadyNoise {
		w.keyed = true // one noise from end to end
		return w, nil
	}
	x, err := s.read(first, last)
	if err != nil {
		return w, err
	}
	d := differences(x)
	at, _, _, gain := keyed.Change(d, d, s.spread())
	cut := min(len(power), max(0, at/s.envelope.Hop))
	w.keyed = gain > gainSure && levelScatter(power[:cut]) < steadyNoise && levelScatter(power[min(len(power), cut+1):]) < steadyNoise
	return w, nil
}

// burstSeconds is how long an opening lasts at least for its sound to be told.
const burstSeconds = 0.08

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
	guard, reach := min(int(0.015*rate), (coarse-first)/4), int(0.05*rate)
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
	return s.carrierStays(w, last)
}

const (
	staySeconds = 0.1 // for which a carrier without its tone stands at least
	stayRise    = 4.0 // of power, from its noise to the hiss
)

// carrierStays moves the moment at which the signal went to where the hiss sets in, if
// the tone had gone before: a steady noise, then one that is louder by 6 dB.
func (s *squelch) carrierStays(w *heard, last int) error {
	x, err := s.read(w.gone, last)
	if err != nil || float64(len(x)) < staySeconds*float64(s.r.Rate) {
		return err
	}
	d := differences(x)
	at, low, high, gain := keyed.Change(d, d, s.spread())
	hop := s.envelope.Hop
	half := (w.gone + at/2) / hop // by then the tone has died away
	if gain <= gainSure || float64(at) < staySeconds*float64(s.r.Rate) || at == len(d) {
		return nil
	}
	quiet := s.envelope.Power[min(half, len(s.envelope.Power)):min((w.gone+at)/hop, len(s.envelope.Power))]
	if levelScatter(quiet) < steadyNoise && stat.Mean(squares(d[at:]), nil) >= stayRise*stat.Mean(squares(d[at/2:at]), nil) {
		w.gone, w.goneLow, w.goneHigh = w.gone+at, w.gone+low, w.gone+high
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
