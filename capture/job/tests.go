package job

import "hisspoint/capture/unit"

// Reading says how recordings are to be read, whatever the test.
type Reading struct {
	Filter         Filter
	ToneHz         float64 // expected tone; 0 means 1000 Hz
	MainsHz        float64 // 50 or 60; 0 lets the recording decide
	FullScaleVolts float64 // RMS volts of a full-scale sine at the card's input; 0: not calibrated
	LoadOhms       float64 // load across which that voltage stands; 0: not stated
}

// Tone is the expected tone in Hz.
func (r Reading) Tone() float64 {
	if r.ToneHz == 0 {
		return 1000
	}
	return r.ToneHz
}

// Take is one recording of a series: what the generator was set to and the file.
// A take with From < To uses that part of the file only (seconds).
type Take struct {
	Level    unit.Level // as set on the generator, before pad and cable
	File     string
	From, To float64
}

// RFPath is what stands between the generator's dial and the set, and how sure it is.
type RFPath struct {
	PadDB            float64  // pad and cable, taken off the generator level
	PadUncertaintyDB float64  // expanded (k = 2) or a bound; see LevelUncertaintyDB
	LevelUncertainty *float64 // of the generator's level in dB, half-width of its stated tolerance; nil: not stated
}

// Limit is a bound on a reading or point.
type Limit struct {
	Name       string  // what is bounded, for people: "12 dB SINAD sensitivity"
	Quantity   string  // "sensitivity", "thd", ...
	Bound      string  // "max" or "min"
	Value      float64 // in Unit
	Unit       string  // "dBm", "%", "dB", ...
	Typed      string  // as a person wrote it: "0.5 µV PD"
	Source     string  // where it is published, with clause
	Standing   string  // "seen", "secondary", "memory", "common practice", "user"
	Profile    string  // which profile it came from; empty: written beside the test
	Conditions Conditions
}

// Conditions that must fit for a limit to apply. Empty fields ask for nothing.
type Conditions struct {
	Criterion Criterion
	Filter    string
	Mode      string // fm, am, ssb
	Kind      string // pd or emf, how the limit was written
}

// Sensitivity is the test that finds the generator level at which the series
// of recordings crosses the criterion.
type Sensitivity struct {
	Reading   Reading
	Criterion Criterion
	Path      RFPath
	Kind      unit.LevelKind // how the person writes µV: PD or EMF
	Takes     []Take
	Limit     *Limit
	Decide    string // Guarded or ByValue; empty is Guarded
}
