package simulate

import (
	"fmt"
	"math"
)

// NoiseDensityDBm is k T0 at T0 = 290 K in dBm/Hz, with k = 1.380649e-23 J/K:
// 10 log10(1.380649e-23 * 290 / 0.001) = -173.975.
const NoiseDensityDBm = -173.97516

// Depth says how deep the physics of the discriminator is worked.
type Depth int

const (
	// DepthAudio: tone, shaped Gaussian noise and Poisson clicks. Fast.
	DepthAudio Depth = iota
	// DepthCarrier: complex baseband, limiter and discriminator. The reference.
	DepthCarrier
)

// Deemphasis is the audio response that undoes the transmitter's rise.
type Deemphasis int

const (
	// DeemphasisSlope falls 6 dB/octave from 100 Hz upward, 0 dB at 1 kHz;
	// below 100 Hz it falls to nothing at DC, as coupled audio does.
	DeemphasisSlope Deemphasis = iota
	// Deemphasis750us is one pole of 750 us, 0 dB at 1 kHz.
	Deemphasis750us
	// DeemphasisNone is flat: also a set whose de-emphasis is missing.
	DeemphasisNone
	// DeemphasisSlopeTwice and Deemphasis750usTwice are a fault: the slope
	// is there twice.
	DeemphasisSlopeTwice
	Deemphasis750usTwice
)

func (d Deemphasis) response(f float64) complex128 {
	switch d {
	case DeemphasisNone:
		return 1
	case DeemphasisSlopeTwice:
		h := DeemphasisSlope.response(f)
		return h * h
	case Deemphasis750usTwice:
		h := Deemphasis750us.response(f)
		return h * h
	case Deemphasis750us:
		const tau = 750e-6
		pole := func(f float64) complex128 { return 1 / complex(1, 2*math.Pi*f*tau) }
		unit := pole(1000)
		return pole(f) / complex(math.Hypot(real(unit), imag(unit)), 0)
	}
	const from = 100
	a := math.Abs(f)
	if a == 0 {
		return 0
	}
	m := 1000 / a
	if a < from {
		m = 1000 / from * (a / from) * (a / from)
	}
	return complex(0, -math.Copysign(m, f))
}

func (d Deemphasis) String() string {
	return [...]string{"6 dB/octave de-emphasis", "750 us de-emphasis", "no de-emphasis", "6 dB/octave de-emphasis twice", "750 us de-emphasis twice"}[d]
}

// FM is a frequency-modulation set.
type FM struct {
	Name          string  // what the set is called; its Describe adds that it is invented and simulated
	NoiseFigureDB float64 // of the set behind FrontLossDB
	FrontLossDB   float64 // a fault: loss before the first amplifier, at T0
	IFBandwidthHz float64 // noise bandwidth
	IFPoles       int     // 0: rectangular; else a Butterworth band-pass of that order each side, without delay distortion
	TuningErrorHz float64 // the whole set stands this far above its channel
	IFErrorHz     float64 // a fault: the IF filter's middle stands this far above the set's channel
	Discriminator Discriminator
	// LimiterDBm is a weak limiter's level for 3 dB less than full output; 0: a perfect limiter.
	LimiterDBm     float64
	OscillatorFMHz float64 // noise of the set's oscillator, RMS frequency between 300 and 3000 Hz, flat
	Deemphasis     Deemphasis
	// StandardDeviationHz of a 1 kHz tone on a strong signal gives Audio.OutputVolts.
	StandardDeviationHz float64
	Audio               AudioStage
	Squelch             Squelch
	Immunity            Immunity
	Depth               Depth
}

// Describe says in one line what the set is.
func (r FM) Describe() string {
	shape := "rectangular"
	if r.IFPoles > 0 {
		shape = fmt.Sprintf("%d-pole", r.IFPoles)
	}
	depth := "carrier-level model"
	if r.Depth == DepthAudio {
		depth = "audio-level model with Poisson clicks"
	}
	return fmt.Sprintf("%s (an invented FM set, simulated: noise figure %.1f dB, front loss %.1f dB, IF noise bandwidth %.1f kHz %s, %s, %s)",
		r.Name, r.NoiseFigureDB, r.FrontLossDB, r.IFBandwidthHz/1000, shape, r.Deemphasis, depth)
}

// NoiseFloorDBm is the noise in the IF referred to the aerial socket.
func (r FM) NoiseFloorDBm() float64 {
	return NoiseDensityDBm + 10*math.Log10(r.IFBandwidthHz) + r.NoiseFigureDB + r.FrontLossDB
}

// CNRdB is the carrier-to-noise ratio in the IF noise bandwidth at a level
// at the aerial socket, for a carrier in the middle of the channel.
func (r FM) CNRdB(dBm float64) float64 { return dBm - r.NoiseFloorDBm() }

// LevelForCNR is the inverse of CNRdB.
func (r FM) LevelForCNR(cnrDB float64) float64 { return cnrDB + r.NoiseFloorDBm() }

func (r FM) rho(dBm float64) float64 { return math.Pow(10, r.CNRdB(dBm)/10) }

// ifPower is |H|^2 of the IF filter at f from its middle.
func (r FM) ifPower(f float64) float64 {
	return bandPower(f, r.IFBandwidthHz, r.IFPoles)
}

// ifResponse is the IF filter over the bins of a block.
func (r FM) ifResponse() []complex128 {
	h := make([]complex128, blockLen)
	for k := range h {
		h[k] = complex(math.Sqrt(r.ifPower(binHz(k))), 0)
	}
	return kaiserTaps(h)
}

// audioGain is volts per hertz of deviation at 1 kHz: the volume setting.
func (r FM) audioGain() float64 {
	unit := r.Audio.response(1000)
	return r.Audio.OutputVolts * math.Sqrt2 / r.StandardDeviationHz / math.Hypot(real(unit), imag(unit))
}

// audioResponse is everything linear between discriminator (Hz of
// deviation) and speaker (volts).
func (r FM) audioResponse(f, gain float64) complex128 {
	return complex(gain*guard(f), 0) * r.Deemphasis.response(f) * r.Audio.response(f)
}

// audioBins is audioResponse over the bins of a block.
func (r FM) audioBins() []complex128 {
	gain := r.audioGain()
	return realBins(func(f float64) complex128 { return r.audioResponse(f, gain) })
}

func (r FM) play(line timeline, seed uint64) []float64 {
	r, line = r.tuned(line)
	var volts []float64
	if r.Depth == DepthCarrier {
		volts = r.carrierLevel(line, seed)
	} else {
		volts = r.audioLevel(line, seed)
	}
	r.limit(volts, line)
	r.Audio.speak(volts, line, r.Squelch, seed)
	return volts
}

func (r FM) squelch() Squelch { return r.Squelch }

// db is the response at hz against 1 kHz.
func (d Deemphasis) db(hz float64) float64 {
	return decibels(magnitude(d.response(hz)) / magnitude(d.response(1000)))
}
