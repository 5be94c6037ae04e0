package simulate

import "math"

// AudioStage is a set's audio from volume control to speaker.
type AudioStage struct {
	OutputVolts   float64 // RMS at the speaker for standard modulation on a strong signal: the volume setting
	HighPassHz    float64 // 0: none
	HighPassPoles int     // Butterworth
	LowPassHz     float64 // 0: none
	LowPassPoles  int
	SecondPercent float64 // second harmonic of a tone at OutputVolts
	ThirdPercent  float64 // third harmonic of a tone at OutputVolts
	ClipVolts     float64 // peak at which the amplifier runs into its supply; 0: never
	Hum           Hum
}

// Hum is a family of mains lines at the speaker; it does not follow the volume.
type Hum struct {
	MainsHz float64   // 50 or 60
	LinesDB []float64 // line k at (k+1)*MainsHz, in dB relative to OutputVolts; -Inf or below -200: none
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
	return h
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
		dc, slope := a2*peak*peak/2, 1-0.75*a3*peak*peak
		for i, x := range volts {
			volts[i] = x*(slope+x*(a2+x*a3)) - dc
		}
	}
	if a.ClipVolts > 0 {
		for i, x := range volts {
			volts[i] = min(max(x, -a.ClipVolts), a.ClipVolts)
		}
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

// Squelch is a gate that listens to the level at the aerial socket. Its
// zero value is a squelch that is always open. Because it acts on the level
// itself and not on measured noise, the times at which it opens and closes
// are known exactly.
type Squelch struct {
	On       bool
	OpenDBm  float64 // opens at or above
	CloseDBm float64 // closes below; the difference is the hysteresis
	AttackS  float64 // from the carrier's arrival to open audio
	TailS    float64 // from the carrier's loss to closed audio
}

// gate silences volts where the squelch is closed, with a 1 ms ramp.
func (q Squelch) gate(volts []float64, line timeline) {
	if !q.On {
		return
	}
	const ramp = workRate / 1000
	open := line[0].dBm >= q.OpenDBm
	gain, at := 0.0, 0
	if open {
		gain = 1
	}
	run := func(to int, target float64) {
		for ; at < min(to, len(volts)); at++ {
			if gain < target {
				gain = min(target, gain+1.0/ramp)
			} else if gain > target {
				gain = max(target, gain-1.0/ramp)
			}
			volts[at] *= gain
		}
	}
	for _, e := range q.events(line) {
		target := 1.0
		if e.Open {
			target = 0
		}
		run(int(math.Round(e.AtS*workRate)), target)
		open = e.Open
	}
	target := 0.0
	if open {
		target = 1
	}
	run(len(volts), target)
}

// SquelchEvent is a known answer: when the audio opened or closed.
type SquelchEvent struct {
	AtS  float64
	Open bool
}

// events lists when the gate changes. A change that is overtaken by the
// next one (a carrier gone before the attack is over) does not happen.
func (q Squelch) events(line timeline) []SquelchEvent {
	var out []SquelchEvent
	open := line[0].dBm >= q.OpenDBm
	start := 0.0
	for _, s := range line {
		end := float64(s.end) / workRate
		if !open && s.dBm >= q.OpenDBm && start+q.AttackS < end {
			open = true
			out = append(out, SquelchEvent{start + q.AttackS, true})
		} else if open && s.dBm < q.CloseDBm && start+q.TailS < end {
			open = false
			out = append(out, SquelchEvent{start + q.TailS, false})
		}
		start = end
	}
	return out
}
