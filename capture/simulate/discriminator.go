package simulate

import "math"

// Discriminator is the S-curve of an FM detector: at x Hz from its own
// middle it gives
//
//	S(x) = x / (1 + (x/PeakHz)^2)
//
// the curve of a single tuned circuit in quadrature, with peaks at +-PeakHz
// and the slope 1 in the middle. Its zero value is straight and on tune.
//
// Known answers: off tune by e it gives a small deviation D the tone D S'(-e)
// and the second harmonic D^2 S2(-e)/4, with S' and S2 the curve's first and
// second derivatives: little, and even.
//
// DepthCarrier bends every instant, noise and all. DepthAudio bends the
// modulation and lets noise through with the slope as it swings with the tone.
// Near the threshold, where noise alone swings far, its SINAD is too good:
// with PeakHz 5 kHz in an IF of 7.5 kHz by 0.4 dB at a carrier-to-noise ratio
// of 10 dB and 0.15 dB at 14 dB; 600 Hz off tune by 0.5 and 0.2 dB. It is
// less with wider curves, as 1/PeakHz^2.
type Discriminator struct {
	PeakHz  float64 // 0: straight
	ErrorHz float64 // its middle stands this far above the IF filter's
}

func (d Discriminator) at(hz float64) float64 {
	x := hz - d.ErrorHz
	if d.PeakHz > 0 {
		u := x / d.PeakHz
		x /= 1 + u*u
	}
	return x
}

func (d Discriminator) slope(hz float64) float64 {
	if d.PeakHz == 0 {
		return 1
	}
	u := (hz - d.ErrorHz) / d.PeakHz
	u *= u
	return (1 - u) / ((1 + u) * (1 + u))
}

// tuned is the timeline as the middle of the set's IF filter sees it, with
// the set's own oscillator noise, and the detector likewise.
func (r FM) tuned(line timeline) (FM, timeline) {
	shift := r.TuningErrorHz + r.IFErrorHz
	r.Discriminator.ErrorHz -= r.IFErrorHz
	if shift == 0 && r.OscillatorFMHz == 0 {
		return r, line
	}
	line = append(timeline(nil), line...)
	for i := range line {
		line[i].offsetHz -= shift
		line[i].residualHz = math.Hypot(line[i].residualHz, residualPerSample(r.OscillatorFMHz))
	}
	return r, line
}

// received is a stretch's carrier-to-noise ratio, with what a second signal
// adds to the noise, and the power of a second carrier on the channel.
func (r FM) received(s *stretch) (rho, second float64) {
	rho = r.rho(s.dBm)
	if s.jam == nil {
		return rho, 0
	}
	jam, carrier := r.Immunity.jamRatio(s, r.NoiseFloorDBm(), r.ifPower)
	if carrier && r.Depth == DepthCarrier {
		return rho, jam
	}
	return rho / (1 + jam), 0
}

// limit lowers what a weak limiter does not bring up to full size.
func (r FM) limit(volts []float64, line timeline) {
	if r.LimiterDBm == 0 {
		return
	}
	line.each(0, int64(len(volts)), func(s *stretch, from, to int64) {
		gain := math.Pow(10, r.LimitingDB(s.dBm)/20)
		for i := from; i < to; i++ {
			volts[i] *= gain
		}
	})
}

// LimitingDB is how far the limiter's output at a level lies below its full
// size: 10 log10(P/(P + K)) with P the power of carrier and noise in the IF
// and K that of LimiterDBm. 0 for a perfect limiter.
func (r FM) LimitingDB(dBm float64) float64 {
	if r.LimiterDBm == 0 {
		return 0
	}
	power := math.Pow(10, dBm/10) + math.Pow(10, r.NoiseFloorDBm()/10)
	return 10 * math.Log10(power/(power+math.Pow(10, r.LimiterDBm/10)))
}

// ResponseDB is the known audio response at hz against 1 kHz: de-emphasis
// and audio stage.
func (r FM) ResponseDB(hz float64) float64 {
	return decibels(magnitude(r.audioResponse(hz, 1)) / magnitude(r.audioResponse(1000, 1)))
}
