package simulate

import (
	"fmt"
	"math"
	"slices"
)

// AM is an amplitude-modulation set: IF filter, envelope detector with its
// coupling capacitor, gain control, audio. It hears Generator.Depth (or
// Segment.Depth); RF levels are those of the carrier.
//
// Well above the noise the audio has, in a band of W Hz that the IF passes
// on both sides of the carrier, S/N = m^2 C/(2 W N0) (any textbook of
// communication: the envelope follows the noise in phase with the carrier).
type AM struct {
	Name          string
	NoiseFigureDB float64
	FrontLossDB   float64 // a fault: loss before the first amplifier, at T0
	IFBandwidthHz float64 // noise bandwidth, both side bands
	IFPoles       int     // 0: rectangular; else a Butterworth band-pass of that order each side, without delay distortion
	TuningErrorHz float64 // the set stands this far above its channel
	StandardDepth float64 // depth of a 1 kHz tone on a carrier of -47 dBm that gives Audio.OutputVolts; 0 stands for 0.3
	AGC           AGC
	Audio         AudioStage
	Squelch       Squelch
	Immunity      Immunity
}

// detectorCouplingHz is the corner of the capacitor behind the detector.
const detectorCouplingHz = 10

func (r AM) front() front {
	return front{r.NoiseFigureDB, r.FrontLossDB, r.IFBandwidthHz, r.IFPoles, 0, r.TuningErrorHz, r.Immunity}
}

func (r AM) squelch() Squelch { return r.Squelch }

// NoiseFloorDBm is the noise in the IF referred to the aerial socket.
func (r AM) NoiseFloorDBm() float64 { return r.front().floorDBm() }

// Describe says in one line what the set is.
func (r AM) Describe() string {
	return fmt.Sprintf("%s (an invented AM set, simulated: noise figure %.1f dB, front loss %.1f dB, IF noise bandwidth %.1f kHz, envelope detector)",
		r.Name, r.NoiseFigureDB, r.FrontLossDB, r.IFBandwidthHz/1000)
}

// ResponseDB is the known audio response at hz against 1 kHz, for a carrier
// on tune: IF filter, couplings and audio stage, without the loudspeaker.
func (r AM) ResponseDB(hz float64) float64 { return decibels(r.audioGain(hz) / r.audioGain(1000)) }

func (r AM) audioGain(hz float64) float64 {
	coupling := 1 / math.Hypot(1, detectorCouplingHz/hz)
	return r.front().gain(hz) * coupling * magnitude(r.Audio.response(hz))
}

func (r AM) play(line timeline, seed uint64) []float64 {
	f := r.front()
	phases := random(seed, streamPhases)
	tone, base := 2*math.Pi*phases.Float64(), 2*math.Pi*phases.Float64()
	z := f.receive(line, seed, -settle-audioAfter, line.samples()+settle+tapSpan,
		func(s *stretch, at int64, amplitude float64, z []complex128, jitter []float64) {
			const perSample = 2 * math.Pi / workRate
			var wave []float64
			if s.wave != nil {
				wave = s.modulation(at, len(z))
			}
			for i := range z {
				sin, cos := math.Sincos(base)
				a := amplitude * (1 + s.depth*math.Cos(tone))
				if wave != nil {
					a = amplitude * (1 + wave[i])
				}
				z[i] += complex(a*cos, a*sin)
				tone += perSample * s.toneHz
				base += perSample * (s.offsetHz - r.TuningErrorHz)
				if jitter != nil {
					base += perSample * jitter[i]
				}
			}
			tone, base = turn(tone), turn(base)
		})
	envelope := sizes(z)
	audio := slices.Clone(envelope)
	unit := math.Sqrt(f.rho(referenceDBm))
	// A carrier's envelope in noise of power 1: its mean is near this.
	start := math.Sqrt(f.rho(line[0].dBm) + math.Pi/4)
	r.AGC.control(audio, envelope, unit, referenceDBm, start)
	couple(audio, detectorCouplingHz)
	depth := first(r.StandardDepth, 0.3)
	gain := r.Audio.OutputVolts * math.Sqrt2 / (depth * unit * r.audioGain(1000) * math.Pow(10, r.AGC.gainDB(first(r.AGC.HeldDBm, referenceDBm))/20))
	return r.Audio.detected(audio, gain, line, r.Squelch, seed)
}

// sizes are the absolute values of z.
func sizes(z []complex128) []float64 {
	out := make([]float64, len(z))
	for i, v := range z {
		out[i] = math.Hypot(real(v), imag(v))
	}
	return out
}

// couple is a capacitor of one pole, charged when it begins, in place.
func couple(x []float64, cornerHz float64) []float64 {
	if len(x) == 0 {
		return x
	}
	k := math.Tan(math.Pi * cornerHz / workRate)
	last, out := x[0], 0.0
	for i, v := range x {
		out = (v - last + (1-k)*out) / (1 + k)
		last = v
		x[i] = out
	}
	return x
}
