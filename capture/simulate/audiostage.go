package simulate

import "math"

// AudioStage is a set's audio from volume control to speaker.
type AudioStage struct {
	OutputVolts    float64 // RMS at the speaker for standard modulation on a strong signal: the volume setting
	CouplingHz     float64 // corner of a coupling capacitor, one pole, 20 Hz or more; 0: none
	HighPassHz     float64 // 0: none
	HighPassPoles  int     // Butterworth
	LowPassHz      float64 // 0: none
	LowPassPoles   int
	SecondPercent  float64 // second harmonic of a tone at OutputVolts
	ThirdPercent   float64 // third harmonic of a tone at OutputVolts; negative: large signals are pressed, as in most sets
	CrossoverVolts float64 // half of the dead zone around 0 V; 0: none
	ClipVolts      float64 // peak at which the amplifier runs into its supply; 0: never
	ClipLowVolts   float64 // the same of the negative half, where it differs; 0: as ClipVolts
	MotorboatHz    float64 // a fault: supply decoupling dried out; the gain wobbles so often a second
	MotorboatDepth float64 // by so much of itself, up and down
	WhineHz        float64 // a fault: a line from the vehicle's alternator, at the recording's start
	WhineHzPerS    float64 // and how fast it rises with the engine's speed
	WhineDB        float64 // its level relative to OutputVolts; it does not follow the volume
	NoiseVolts     float64 // RMS noise of the amplifier, white up to 12 kHz; it stays with volume down
	Hum            Hum
}

// Hum is a family of mains lines at the speaker; it does not follow the volume.
type Hum struct {
	MainsHz float64   // 50 or 60
	LinesDB []float64 // line k at (k+1)*MainsHz, in dB relative to OutputVolts; -Inf or below -200: none
}

// ReservoirHum is what a tired reservoir behind a full-wave rectifier leaves:
// twice the mains frequency at dB and its multiples falling as 1/n^2, the
// ripple being nearly a saw-tooth that the supply smooths further.
func ReservoirHum(mainsHz, dB float64) Hum {
	none := math.Inf(-1)
	return Hum{mainsHz, []float64{none, dB, none, dB - 12.04, none, dB - 19.08}}
}

// PickupHum is induced from mains wiring: the mains frequency at dB and a
// third harmonic 15 dB below.
func PickupHum(mainsHz, dB float64) Hum {
	return Hum{mainsHz, []float64{dB, math.Inf(-1), dB - 15}}
}

func (a AudioStage) response(f float64) complex128 {
	h := complex(1, 0)
	if a.LowPassHz > 0 {
		h *= butterworth(complex(0, f/a.LowPassHz), a.LowPassPoles)
	}
	if a.HighPassHz > 0 {
		if f == 0 {
			return 0
		}
		h *= butterworth(complex(0, -a.HighPassHz/f), a.HighPassPoles)
	}
	if a.CouplingHz > 0 {
		h *= complex(0, f) / complex(a.CouplingHz, f)
	}
	return h
}

// speak is all that comes after the volume control, in place: volts are
// those at the set's own volume setting.
func (a AudioStage) speak(volts []float64, line timeline, q Squelch, seed uint64) {
	line.each(0, int64(len(volts)), func(s *stretch, from, to int64) {
		if s.volume == 1 {
			return
		}
		for i := from; i < to; i++ {
			volts[i] *= s.volume
		}
	})
	a.amplify(volts)
	a.wobble(volts)
	q.gate(volts, line)
	if a.NoiseVolts > 0 {
		noise := random(seed, streamAmplifier)
		for i := range volts {
			volts[i] += a.NoiseVolts * noise.NormFloat64()
		}
	}
	a.addHum(volts, seed)
	if a.WhineHz > 0 {
		peak := a.OutputVolts * math.Sqrt2 * math.Pow(10, a.WhineDB/20)
		for i := range volts {
			t := float64(i) / workRate
			volts[i] += peak * math.Sin(2*math.Pi*t*(a.WhineHz+a.WhineHzPerS/2*t))
		}
	}
}

// wobble is motorboating: the whole audio swells and sinks.
func (a AudioStage) wobble(volts []float64) {
	if a.MotorboatHz == 0 {
		return
	}
	for i := range volts {
		volts[i] *= 1 + a.MotorboatDepth*math.Sin(2*math.Pi*a.MotorboatHz/workRate*float64(i))
	}
}

// amplify distorts in place. With X the peak of a tone at OutputVolts,
//
//	y = x + a2 (x^2 - X^2/2) + a3 (x^3 - 3/4 X^2 x),  a2 = 2 d2 / X,  a3 = 4 d3 / X^2
//
// gives that tone harmonics d2 and d3 and leaves its own size alone, since
// X cos squared is X^2/2 (1 + cos 2) and cubed X^3/4 (3 cos + cos 3).
func (a AudioStage) amplify(volts []float64) {
	peak := a.OutputVolts * math.Sqrt2
	a2 := 2 * a.SecondPercent / 100 / peak
	a3 := 4 * a.ThirdPercent / 100 / (peak * peak)
	if a2 != 0 || a3 != 0 {
		// A quiet tone's slope is not 1 then; the coupling behind the
		// amplifier takes the offset out.
		dc, slope := a2*peak*peak/2, 1-0.75*a3*peak*peak
		for i, x := range volts {
			volts[i] = x*(slope+x*(a2+x*a3)) - dc
		}
	}
	if d := a.CrossoverVolts; d > 0 {
		bend(volts, 0, func(x float64) float64 { return x - min(max(x, -d), d) })
	}
	if a.ClipVolts > 0 {
		low := -first(a.ClipLowVolts, a.ClipVolts)
		bend(volts, min(a.ClipVolts, -low), func(x float64) float64 { return min(max(x, low), a.ClipVolts) })
	}
}

// addHum adds the mains lines, each at a phase of its own.
func (a AudioStage) addHum(volts []float64, seed uint64) {
	phases := random(seed, streamHum)
	for k, dB := range a.Hum.LinesDB {
		phase := 2 * math.Pi * phases.Float64()
		if a.Hum.MainsHz <= 0 || dB < -200 {
			continue
		}
		peak := a.OutputVolts * math.Sqrt2 * math.Pow(10, dB/20)
		addTone(volts, peak, a.Hum.MainsHz*float64(k+1)/workRate, phase)
	}
}

// addTone adds peak*cos(2 pi cycles i + phase), by a rotation that is set
// right every so often.
func addTone(dst []float64, peak, cycles, phase float64) {
	const stretch = 1024
	stepSin, stepCos := math.Sincos(2 * math.Pi * cycles)
	for i := 0; i < len(dst); i += stretch {
		_, whole := math.Modf(cycles * float64(i))
		sin, cos := math.Sincos(2*math.Pi*whole + phase)
		for j := i; j < min(i+stretch, len(dst)); j++ {
			dst[j] += peak * cos
			cos, sin = cos*stepCos-sin*stepSin, sin*stepCos+cos*stepSin
		}
	}
}
