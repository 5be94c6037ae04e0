package reports

import "hisspoint/capture/signal"

// Signals is the record of the test signals that were written: their manifest.
type Signals struct {
	Version        string
	Bits           int
	FullScaleVolts float64 // RMS volts of a full-scale sine at the card's output; 0: not known
	Signals        []signal.Signal
}

// Millivolts is the RMS voltage of a level in dBFS; false without calibration.
func (s Signals) Millivolts(dBFS float64) (float64, bool) {
	return 1000 * volts(dBFS, s.FullScaleVolts), s.FullScaleVolts > 0
}
