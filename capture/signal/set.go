package signal

import "fmt"

// Options say how test signals are made.
type Options struct {
	Rate      int       // samples a second; 0: 48000
	LevelDBFS float64   // RMS
	TonesHz   []float64 // single tones; none: 1 kHz
	Fraction  int       // finest stepped tones: 6 or 12 to the octave; 0: 6
}

// Limits of what is made.
const (
	leastRate, mostRate = 22050, 192000
	lowestDBFS          = -60.0
)

// Set makes all test signals, or says in one line what cannot be made.
func Set(o Options) ([]Signal, error) {
	if o.Rate == 0 {
		o.Rate = 48000
	}
	if len(o.TonesHz) == 0 {
		o.TonesHz = []float64{1000}
	}
	if o.Fraction == 0 {
		o.Fraction = 6
	}
	switch {
	case o.Rate < leastRate || o.Rate > mostRate:
		return nil, fmt.Errorf("a sample rate of %d Hz does not suit test signals; give %d to %d", o.Rate, leastRate, mostRate)
	case !(o.LevelDBFS <= topDBFS && o.LevelDBFS >= lowestDBFS):
		return nil, fmt.Errorf("a level of %g dBFS cannot be made; give %g to %g dBFS", o.LevelDBFS, lowestDBFS, topDBFS)
	case o.Fraction != 6 && o.Fraction != 12:
		return nil, fmt.Errorf("stepped tones come 6 or 12 to the octave, not %d", o.Fraction)
	}
	var all []Signal
	for _, hz := range o.TonesHz {
		if hz < 20 || hz > 0.45*float64(o.Rate) {
			return nil, fmt.Errorf("a tone of %g Hz cannot be made at %d samples a second; give 20 to %g Hz", hz, o.Rate, 0.45*float64(o.Rate))
		}
		all = append(all, Tone(o.Rate, hz, o.LevelDBFS, 10))
	}
	third := Stepped(o.Rate, StandardSteps(3), o.LevelDBFS, 1.5)
	third.Name = "stepped-third-octave"
	fine := Stepped(o.Rate, StandardSteps(o.Fraction), o.LevelDBFS, 1.5)
	fine.Name = map[int]string{6: "stepped-sixth-octave", 12: "stepped-twelfth-octave"}[o.Fraction]
	all = append(all, third, fine,
		SweepSignal(o.Rate, StandardSweep(), o.LevelDBFS, 0.5),
		Multitone(o.Rate, StandardMultitone(), o.LevelDBFS, 10),
		LevelSteps(o.Rate, 1000, o.LevelDBFS-40, o.LevelDBFS, 2, 1.5),
		Attack(o.Rate, 1000, o.LevelDBFS, 1, 3),
		TwoTone(o.Rate, 700, 1900, o.LevelDBFS, 10),
		SpeechNoise(o.Rate, o.LevelDBFS, NoiseSeconds))
	return all, nil
}
