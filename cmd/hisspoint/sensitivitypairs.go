package main

import (
	"fmt"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// wanted is the criterion as typed, else the usual one of the mode.
func (f sensitivityFlags) wanted() string {
	if f.criterion == "" && (f.mode == job.AM || f.mode == job.SSB) {
		return "sn_n 10 dB"
	}
	if f.criterion == "" {
		return "sinad 12 dB"
	}
	return f.criterion
}

// pair tells recordings with modulation from those without, by their names,
// where the criterion is one of both.
func (f sensitivityFlags) pair(t *job.Setup) error {
	switch {
	case f.deviation != "" && (f.mode == job.AM || f.mode == job.SSB):
		return fmt.Errorf("--deviation: %s has none; leave it out, or give --mode fm", f.mode)
	case f.depth != "" && f.mode != job.AM && f.mode != "":
		return fmt.Errorf("--depth: %s has none; leave it out, or give --mode am", f.mode)
	case f.agcHeld && f.mode != job.SSB:
		return fmt.Errorf("--agc-held: belongs to --mode ssb")
	}
	unmodulated := 0
	for i, k := range t.Takes {
		off := unit.UnmodulatedFileName(k.File)
		switch {
		case off && t.Criterion.Quantity == job.QuantitySINAD:
			return fmt.Errorf("%s: named as one without modulation, which %s has no use for; leave it out, or give --criterion \"sn_n 10 dB\"", k.File, t.Criterion.Label())
		case t.Criterion.Quantity != job.QuantitySNN:
		case off:
			t.Takes[i].State = job.StateCarrier
			unmodulated++
		case k.Level.Scale != unit.Off:
			t.Takes[i].State = job.StateModulated
		}
	}
	within := f.mode == job.SSB && !f.agcHeld
	if t.Criterion.Quantity == job.QuantitySNN && !within && unmodulated == 0 {
		return fmt.Errorf("(S+N)/N: no file without modulation; record each level twice, as 1uV.wav and 1uV_nomod.wav with the carrier left on, or give --criterion \"sinad 10 dB\"")
	}
	return nil
}
