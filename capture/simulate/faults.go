package simulate

// Fault is a fault of an FM set or of its bench, with what shows of it.
type Fault struct {
	Name  string
	Shows string // in the audio or the figures (common practice, no source)
	apply func(b Bench, set *FM) Bench
}

// On is the bench with the fault; its set must be an FM set, and any other
// comes back as it was.
func (f Fault) On(b Bench) Bench {
	set, ok := b.Set.(FM)
	if !ok {
		return b
	}
	set.Name += ", " + f.Name
	b = f.apply(b, &set)
	b.Set = set
	return b
}

// FaultNamed is a fault of Faults.
func FaultNamed(name string) (Fault, bool) {
	for _, f := range Faults() {
		if f.Name == name {
			return f, true
		}
	}
	return Fault{}, false
}

func inSet(change func(*FM)) func(Bench, *FM) Bench {
	return func(b Bench, set *FM) Bench {
		change(set)
		return b
	}
}

// Faults lists the faults, one for each hint.
func Faults() []Fault {
	return []Fault{
		{"detuned discriminator", "second harmonic leads, recovered audio low, best frequency off centre, worse with deviation",
			inSet(func(r *FM) { r.Discriminator = Discriminator{PeakHz: 4000, ErrorHz: 1600} })},
		{"set off frequency", "second harmonic, best frequency off centre, sensitivity poor on the channel",
			inSet(func(r *FM) { r.TuningErrorHz = 2500 })},
		{"tired reservoir", "100 or 120 Hz and multiples, not following the volume",
			inSet(func(r *FM) { r.Audio.Hum = ReservoirHum(first(r.Audio.Hum.MainsHz, 50), -22) })},
		{"hum pick-up", "50 or 60 Hz alone", inSet(func(r *FM) { r.Audio.Hum = PickupHum(first(r.Audio.Hum.MainsHz, 50), -25) })},
		{"dried coupling capacitor", "extra loss below a corner far above 300 Hz, thin sound",
			inSet(func(r *FM) { r.Audio.CouplingHz = 1000 })},
		{"dried emitter bypass", "broad loss of gain, clean", inSet(func(r *FM) {
			r.Audio.OutputVolts *= 0.25
			r.Audio.SecondPercent, r.Audio.ThirdPercent = r.Audio.SecondPercent/4, r.Audio.ThirdPercent/4
		})},
		{"noisy audio amplifier", "noise that stays with volume down",
			inSet(func(r *FM) { r.Audio.NoiseVolts = 0.15 * r.Audio.OutputVolts })},
		{"front-end loss", "the same curve shifted to higher RF, ultimate S/N normal", inSet(func(r *FM) { r.FrontLossDB += 12 })},
		{"narrow IF", "distortion that rises with deviation, odd harmonics", inSet(func(r *FM) { r.IFBandwidthHz, r.IFPoles = 3000, 3 })},
		{"IF off centre", "second harmonic rising with deviation, best frequency off centre", inSet(func(r *FM) { r.IFErrorHz = 2200 })},
		{"missing de-emphasis", "audio flat where it should fall, hissy", inSet(func(r *FM) { r.Deemphasis = DeemphasisNone })},
		{"double de-emphasis", "audio falls 12 dB/octave, dull", inSet(func(r *FM) {
			if r.Deemphasis == Deemphasis750us {
				r.Deemphasis = Deemphasis750usTwice
			} else {
				r.Deemphasis = DeemphasisSlopeTwice
			}
		})},
		{"low limiter", "recovered audio falls at levels where it should stand", inSet(func(r *FM) { r.LimiterDBm = -95 })},
		{"oscillator noise", "poor ultimate S/N with normal sensitivity, following the volume", inSet(func(r *FM) { r.OscillatorFMHz = 60 })},
		{"early clipping", "odd harmonics that start suddenly with volume", inSet(func(r *FM) { r.Audio.ClipVolts = 1.1 * r.Audio.OutputVolts })},
		{"unsymmetrical clipping", "odd and even harmonics that start suddenly with volume", inSet(func(r *FM) {
			r.Audio.ClipVolts, r.Audio.ClipLowVolts = 2*r.Audio.OutputVolts, 0.9*r.Audio.OutputVolts
		})},
		{"crossover distortion", "distortion that rises as the level falls", inSet(func(r *FM) { r.Audio.CrossoverVolts = 0.08 * r.Audio.OutputVolts })},
		{"dead squelch", "does not open at any level", inSet(func(r *FM) { r.Squelch.On, r.Squelch.OpenDBm, r.Squelch.CloseDBm = true, 100, 97 })},
		{"chattering squelch", "opens and shuts several times for one carrier", inSet(func(r *FM) { r.Squelch.On, r.Squelch.Chatter = true, 4 })},
		{"generator's residual FM", "poor ultimate S/N whatever the set", func(b Bench, _ *FM) Bench {
			b.Generator.ResidualFMHz = 60
			return b
		}},
		{"generator leaks", "a tone with the generator fully down", func(b Bench, _ *FM) Bench {
			b.Generator.LeakDBm = -112
			return b
		}},
		{"ground loop", "50 or 60 Hz that stays when the set is muted", func(b Bench, set *FM) Bench {
			b.GroundLoop = GroundLoop{first(set.Audio.Hum.MainsHz, 50), []float64{0.08 * set.Audio.OutputVolts, 0, 0.02 * set.Audio.OutputVolts}}
			return b
		}},
	}
}
