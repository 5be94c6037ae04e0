package job

import "hisspoint/capture/unit"

// Reading says how recordings are to be read, whatever the test.
type Reading struct {
	Filter         Filter
	ToneHz         float64 // expected tone; 0 means 1000 Hz
	MainsHz        float64 // 50 or 60; 0 lets the recording decide
	FullScaleVolts float64 // RMS volts of a full-scale sine at the card's input; 0: not calibrated
	LoadOhms       float64 // load across which that voltage stands; 0: not stated
	Channel        int     // of the recordings that holds the set's audio, from 1; 0: not stated
	Mode           string  // of the set: fm, am, ssb; empty: fm is taken
	Deviation      float64 // Hz, peak, of the tone on an FM generator; 0: not stated

	Source       string     // how the sound came but by cable, one of Sources; empty: nobody said
	Card         *Qualified // the sound card that recorded it; nil: nothing tells
	CardDB       float64    // half-width in dB of what a sound card may add to a reading, as typed; 0: not stated
	VoltsPercent float64    // half-width of the tolerance of FullScaleVolts; 0: not stated
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
	Level         unit.Level // as set on the generator, before pad and cable
	Typed         string     // the level as a person wrote it; empty: not known
	State         string     // StateOff, StateCarrier or StateModulated; empty: the kind of test knows
	At            float64    // place on an axis other than level: Hz of tone or offset, dB of input
	AtTyped       string     // that place as a person wrote it
	File          string
	From, To      float64
	MeasuredVolts float64 // RMS, read with a meter while it was recorded; 0: not read
}

// RFPath is what stands between the generator's dial and the set, and how sure it is.
type RFPath struct {
	PadDB            float64 // pad and cable, taken off the generator level
	PadUncertaintyDB float64 // expanded (k = 2) or a bound; see LevelUncertaintyDB
	GeneratorReflection,
	InputReflection float64 // magnitudes of the reflection factors of generator and set; 0: not stated
	LevelUncertainty *float64 // of the generator's level in dB, half-width of its stated tolerance; nil: not stated
}
