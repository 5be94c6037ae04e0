package simulate

import "math"

// referenceDBm is the strong signal on which a set's volume is set: -47 dBm,
// 1 mV PD.
const referenceDBm = -47

// AGC is an automatic gain control that listens to the detector. Above its
// threshold the output rises by one decibel for RatioDB decibels of carrier;
// below it the gain is full. Its zero value is a set without AGC.
//
// Two stages listen: the envelope is averaged with the time constant
// AttackS, and a second stage follows that average at once when it rises and
// with the time constant DecayS when it falls.
//
// Known answers, for steady carriers well above the noise: from level a to
// level b, both above ThresholdDBm, the audio rises by (b - a)/RatioDB; from
// the threshold down it falls decibel by decibel.
type AGC struct {
	ThresholdDBm float64 // at the aerial socket
	RatioDB      float64 // 0: no AGC
	AttackS      float64 // time constant of the average; 0 stands for 20 ms
	DecayS       float64 // time constant towards more gain; 0 stands for 200 ms
	HeldDBm      float64 // gain held at what a carrier of this level gives; 0: not held
}

// gainDB is the gain for a carrier of a level.
func (a AGC) gainDB(dBm float64) float64 {
	if a.RatioDB == 0 || dBm <= a.ThresholdDBm {
		return 0
	}
	return (dBm - a.ThresholdDBm) * (1/a.RatioDB - 1)
}

// OutputDB is how much louder a steady carrier of a level makes the audio
// than one at the threshold, in dB, noise apart.
func (a AGC) OutputDB(dBm float64) float64 {
	if a.HeldDBm != 0 {
		return dBm - a.ThresholdDBm
	}
	return dBm - a.ThresholdDBm + a.gainDB(dBm)
}

// control multiplies audio by the gain that the IF's envelope asks for. unit
// is the envelope of a carrier of unitDBm; start is the envelope it begins in.
func (a AGC) control(audio, envelope []float64, unit, unitDBm, start float64) {
	switch {
	case a.HeldDBm != 0:
		g := math.Pow(10, a.gainDB(a.HeldDBm)/20)
		for i := range audio {
			audio[i] *= g
		}
		return
	case a.RatioDB == 0:
		return
	}
	threshold := unit * math.Pow(10, (a.ThresholdDBm-unitDBm)/20)
	attack := 1 - math.Exp(-1/(workRate*first(a.AttackS, 0.02)))
	decay := 1 - math.Exp(-1/(workRate*first(a.DecayS, 0.2)))
	mean, held, power := start, start, 1/a.RatioDB-1
	for i, e := range envelope {
		mean += attack * (e - mean)
		held = max(mean, held+decay*(mean-held))
		if held > threshold {
			audio[i] *= math.Pow(held/threshold, power)
		}
	}
}
