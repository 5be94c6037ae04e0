package simulate

import (
	"fmt"
	"math"
)

// SSB is a single-sideband set: IF filter, product detector, gain control,
// audio. The generator's carrier, unmodulated, stands Generator.ToneHz
// (1 kHz) into the passband and is heard as a tone of that frequency;
// OffsetHz shifts the carrier and with it the tone. Modulation is not heard.
//
// The audio has S/N = C/(B N0) in the IF noise bandwidth B: a product detector
// shifts signal and noise alike (any textbook of communication).
type SSB struct {
	Name          string
	NoiseFigureDB float64
	FrontLossDB   float64 // a fault: loss before the first amplifier, at T0
	IFBandwidthHz float64 // noise bandwidth of the one side band
	IFPoles       int     // 0: rectangular; else a Butterworth band-pass of that order each side, without delay distortion
	IFCentreHz    float64 // middle of the passband from the suppressed carrier; 0 stands for 1500
	Lower         bool    // lower sideband: the passband lies below
	TuningErrorHz float64 // the set stands this far above its channel
	AGC           AGC
	Audio         AudioStage // OutputVolts is that of a carrier of -47 dBm, 1 kHz into the passband
	Squelch       Squelch
	Immunity      Immunity
}

func (r SSB) side() float64 {
	if r.Lower {
		return -1
	}
	return 1
}

func (r SSB) front() front {
	return front{r.NoiseFigureDB, r.FrontLossDB, r.IFBandwidthHz, r.IFPoles, r.side() * first(r.IFCentreHz, 1500), r.TuningErrorHz, r.Immunity}
}

func (r SSB) squelch() Squelch { return r.Squelch }

// NoiseFloorDBm is the noise in the IF referred to the aerial socket.
func (r SSB) NoiseFloorDBm() float64 { return r.front().floorDBm() }

// Describe says in one line what the set is.
func (r SSB) Describe() string {
	side := "upper"
	if r.Lower {
		side = "lower"
	}
	return fmt.Sprintf("%s (an invented SSB set, simulated: noise figure %.1f dB, front loss %.1f dB, IF noise bandwidth %.1f kHz, %s sideband, product detector)",
		r.Name, r.NoiseFigureDB, r.FrontLossDB, r.IFBandwidthHz/1000, side)
}

// ResponseDB is the known audio response at hz against 1 kHz: IF filter and
// audio stage.
func (r SSB) ResponseDB(hz float64) float64 { return decibels(r.audioGain(hz) / r.audioGain(1000)) }

func (r SSB) audioGain(hz float64) float64 {
	return r.front().gain(r.side()*hz) * magnitude(r.Audio.response(hz))
}

// ToneHz is the frequency of the tone that a generator gives.
func (r SSB) ToneHz(g Generator) float64 {
	return math.Abs(first(g.ToneHz, 1000) + r.side()*(g.OffsetHz-r.TuningErrorHz))
}

func (r SSB) play(line timeline, seed uint64) []float64 {
	f := r.front()
	base := 2 * math.Pi * random(seed, streamPhases).Float64()
	z := f.receive(line, seed, -settle-audioAfter, line.samples()+settle+tapSpan,
		func(s *stretch, _ int64, amplitude float64, z []complex128, jitter []float64) {
			const perSample = 2 * math.Pi / workRate
			hz := r.side()*s.toneHz + s.offsetHz - r.TuningErrorHz
			for i := range z {
				sin, cos := math.Sincos(base)
				z[i] += complex(amplitude*cos, amplitude*sin)
				base += perSample * hz
				if jitter != nil {
					base += perSample * jitter[i]
				}
			}
			base = turn(base)
		})
	audio, envelope := make([]float64, len(z)), sizes(z)
	for i, v := range z {
		audio[i] = real(v)
	}
	unit := math.Sqrt(f.rho(referenceDBm))
	start := math.Sqrt(f.rho(line[0].dBm) + math.Pi/4)
	r.AGC.control(audio, envelope, unit*f.gain(r.side()*1000), referenceDBm, start)
	gain := r.Audio.OutputVolts * math.Sqrt2 / (unit * r.audioGain(1000) * math.Pow(10, r.AGC.gainDB(first(r.AGC.HeldDBm, referenceDBm))/20))
	return r.Audio.detected(audio, gain, line, r.Squelch, seed)
}
