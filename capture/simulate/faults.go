package simulate

// Fault is a fault of a receiver or of its bench, with what shows of it.
type Fault struct {
	Name  string
	Shows string // in the audio or the figures (common practice, no source)
	what  change
}

// change is what a fault does, by the part it is in; nil: nothing.
type change struct {
	fm    func(*FM)
	audio func(*AudioStage)
	front func(lossDB *float64, gate *Squelch)
	agc   func(*AGC)
	bench func(b *Bench, audio AudioStage)
}

// Fits says whether a set can have the fault.
func (f Fault) Fits(set Set) bool {
	c := f.what
	if c.audio != nil || c.front != nil || c.bench != nil {
		return true
	}
	_, isFM := set.(FM)
	return isFM && c.fm != nil || !isFM && c.agc != nil
}

// On is the bench with the fault. A bench whose set cannot have it comes back
// as it was.
func (f Fault) On(b Bench) Bench {
	if !f.Fits(b.Set) {
		return b
	}
	switch set := b.Set.(type) {
	case FM:
		set.Name += ", " + f.Name
		if f.what.fm != nil {
			f.what.fm(&set)
		}
		f.common(&b, &set.Audio, &set.FrontLossDB, &set.Squelch)
		b.Set = set
	case AM:
		set.Name += ", " + f.Name
		if f.what.agc != nil {
			f.what.agc(&set.AGC)
		}
		f.common(&b, &set.Audio, &set.FrontLossDB, &set.Squelch)
		b.Set = set
	case SSB:
		set.Name += ", " + f.Name
		if f.what.agc != nil {
			f.what.agc(&set.AGC)
		}
		f.common(&b, &set.Audio, &set.FrontLossDB, &set.Squelch)
		b.Set = set
	}
	return b
}

// common is what all kinds of sets can have.
func (f Fault) common(b *Bench, audio *AudioStage, lossDB *float64, gate *Squelch) {
	if f.what.audio != nil {
		f.what.audio(audio)
	}
	if f.what.front != nil {
		f.what.front(lossDB, gate)
	}
	if f.what.bench != nil {
		f.what.bench(b, *audio)
	}
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

func inFM(do func(*FM)) change            { return change{fm: do} }
func inAudio(do func(*AudioStage)) change { return change{audio: do} }
func inAGC(do func(*AGC)) change          { return change{agc: do} }

func inFront(do func(lossDB *float64, gate *Squelch)) change { return change{front: do} }

func onBench(do func(b *Bench, audio AudioStage)) change { return change{bench: do} }

// Faults lists the receivers' faults, one or more for each hint.
func Faults() []Fault {
	return []Fault{
		{"detuned discriminator", "second harmonic leads, recovered audio low, best frequency off centre, worse with deviation",
			inFM(func(r *FM) { r.Discriminator = Discriminator{PeakHz: 4000, ErrorHz: 1600} })},
		{"set off frequency", "second harmonic, best frequency off centre, sensitivity poor on the channel",
			inFM(func(r *FM) { r.TuningErrorHz = 2500 })},
		{"tired reservoir", "100 or 120 Hz and multiples, not following the volume",
			inAudio(func(a *AudioStage) { a.Hum = ReservoirHum(first(a.Hum.MainsHz, 50), -22) })},
		{"hum pick-up", "50 or 60 Hz alone", inAudio(func(a *AudioStage) { a.Hum = PickupHum(first(a.Hum.MainsHz, 50), -25) })},
		{"dried coupling capacitor", "extra loss below a corner far above 300 Hz, thin sound",
			inAudio(func(a *AudioStage) { a.CouplingHz = 1000 })},
		{"dried emitter bypass", "broad loss of gain, clean", inAudio(func(a *AudioStage) {
			a.OutputVolts *= 0.25
			a.SecondPercent, a.ThirdPercent = a.SecondPercent/4, a.ThirdPercent/4
		})},
		{"noisy audio amplifier", "noise that stays with volume down",
			inAudio(func(a *AudioStage) { a.NoiseVolts = 0.15 * a.OutputVolts })},
		{"front-end loss", "the same curve shifted to higher RF, ultimate S/N normal", inFront(func(lossDB *float64, _ *Squelch) { *lossDB += 12 })},
		{"narrow IF", "distortion that rises with deviation, odd harmonics", inFM(func(r *FM) { r.IFBandwidthHz, r.IFPoles = 3000, 3 })},
		{"IF off centre", "second harmonic rising with deviation, best frequency off centre", inFM(func(r *FM) { r.IFErrorHz = 2200 })},
		{"missing de-emphasis", "audio flat where it should fall, hissy", inFM(func(r *FM) { r.Deemphasis = DeemphasisNone })},
		{"double de-emphasis", "audio falls 12 dB/octave, dull", inFM(func(r *FM) {
			if r.Deemphasis == Deemphasis750us {
				r.Deemphasis = Deemphasis750usTwice
			} else {
				r.Deemphasis = DeemphasisSlopeTwice
			}
		})},
		{"low limiter", "recovered audio falls at levels where it should stand", inFM(func(r *FM) { r.LimiterDBm = -95 })},
		{"oscillator noise", "poor ultimate S/N with normal sensitivity, following the volume", inFM(func(r *FM) { r.OscillatorFMHz = 60 })},
		{"early clipping", "odd harmonics that start suddenly with volume", inAudio(func(a *AudioStage) { a.ClipVolts = 1.1 * a.OutputVolts })},
		{"unsymmetrical clipping", "odd and even harmonics that start suddenly with volume", inAudio(func(a *AudioStage) {
			a.ClipVolts, a.ClipLowVolts = 2*a.OutputVolts, 0.9*a.OutputVolts
		})},
		{"crossover distortion", "distortion that rises as the level falls", inAudio(func(a *AudioStage) { a.CrossoverVolts = 0.08 * a.OutputVolts })},
		{"dead squelch", "does not open at any level", inFront(func(_ *float64, q *Squelch) { q.On, q.OpenDBm, q.CloseDBm = true, 100, 97 })},
		{"chattering squelch", "opens and shuts several times for one carrier", inFront(func(_ *float64, q *Squelch) { q.On, q.Chatter = true, 4 })},
		{"generator's residual FM", "poor ultimate S/N whatever the set", onBench(func(b *Bench, _ AudioStage) { b.Generator.ResidualFMHz = 60 })},
		{"generator leaks", "a tone with the generator fully down", onBench(func(b *Bench, _ AudioStage) { b.Generator.LeakDBm = -112 })},
		{"ground loop", "50 or 60 Hz that stays when the set is muted", onBench(func(b *Bench, a AudioStage) {
			b.GroundLoop = GroundLoop{first(a.Hum.MainsHz, 50), []float64{0.08 * a.OutputVolts, 0, 0.02 * a.OutputVolts}}
		})},
		{"dead gain control", "audio follows the carrier's level decibel by decibel", inAGC(func(a *AGC) { a.RatioDB = 0 })},
		{"motorboating", "the audio's size wobbles a few times a second", inAudio(func(a *AudioStage) { a.MotorboatHz, a.MotorboatDepth = 6, 0.4 })},
		{"alternator whine", "a line between 1.5 and 3 kHz that follows the engine's speed", inAudio(func(a *AudioStage) {
			a.WhineHz, a.WhineHzPerS, a.WhineDB = 1850, 40, -24
		})},
	}
}
