package analyze

import (
	"fmt"
	"math"

	"hisspoint/analyze/internal/response"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/signal"
)

// Kinds of recordings that a response is read from.
const (
	ResponseAuto      = "auto" // whichever of the others is found
	ResponseStepped   = "stepped"
	ResponseSweep     = "sweep"
	ResponseMultitone = "multitone"
	ResponseSpeech    = "speech"
)

// ResponseKinds lists them as they are asked for.
var ResponseKinds = []string{ResponseAuto, ResponseStepped, ResponseSweep, ResponseMultitone, ResponseSpeech}

// Curves that a response is held against.
const (
	AgainstFlat        = "flat"
	AgainstPreEmphasis = "pre-emphasis" // +6 dB an octave
	AgainstDeEmphasis  = "de-emphasis"  // -6 dB an octave
)

// ResponseAgainst lists them as they are asked for.
var ResponseAgainst = []string{AgainstFlat, AgainstPreEmphasis, AgainstDeEmphasis}

// MonitorCurve is the response of the receiver that a transmitter was recorded
// through, in dB relative to 1 kHz: by name, or as measured.
type MonitorCurve struct {
	Name   string    // MonitorFlat, Monitor750us, Monitor6dB, or of the file it comes from
	Hz, DB []float64 // as measured, in rising order of Hz; empty for those with a name
	SD     []float64 // standard uncertainty of each in dB; may be empty
}

// Monitor receivers that have a name.
const (
	MonitorFlat  = "flat"
	Monitor750us = "750us"      // de-emphasis by a time constant of 750 microseconds
	Monitor6dB   = "6db-octave" // de-emphasis of 6 dB an octave
)

// MonitorNames lists them as they are asked for.
var MonitorNames = []string{MonitorFlat, Monitor750us, Monitor6dB}

// at is the monitor's level at a frequency relative to 1 kHz, and its standard
// uncertainty; ok is false where it is not known.
func (m MonitorCurve) at(hz float64) (dB, sd float64, ok bool) {
	if len(m.Hz) == 0 {
		switch m.Name {
		case Monitor750us:
			return -response.TimeConstant(750e-6)(hz), 0, true
		case Monitor6dB:
			return -response.SixDB(hz), 0, true
		}
		return 0, 0, true
	}
	t := response.Table{Hz: m.Hz, DB: m.DB}
	v, ok := t.At(hz)
	r, at1k := t.At(response.Reference)
	if len(m.SD) == len(m.Hz) {
		sd, _ = response.Table{Hz: m.Hz, DB: m.SD}.At(hz)
	}
	return v - r, sd, ok && at1k
}

// ideal is the curve that a response is held against, in dB relative to 1 kHz.
func ideal(against string, hz float64) float64 {
	switch against {
	case AgainstPreEmphasis:
		return response.SixDB(hz)
	case AgainstDeEmphasis:
		return -response.SixDB(hz)
	}
	return 0
}

// ResponseHow says how a response is read.
type ResponseHow struct {
	Kind    string // one of ResponseKinds; empty: auto
	Against string // one of ResponseAgainst; empty: flat
	Monitor MonitorCurve
	Sweep   signal.Sweep   // the one played; zero: signal.StandardSweep
	TonesHz []float64      // of a multitone, or those expected of stepped tones; none: the usual ones
	Card    *job.Qualified // the sound card that recorded it; nil: nothing tells
}

func (h ResponseHow) sweep() signal.Sweep {
	if h.Sweep == (signal.Sweep{}) {
		return signal.StandardSweep()
	}
	return h.Sweep
}

// ResponsePoint is the response at a frequency with its 95 % interval, in dB
// relative to 1 kHz, and what it deviates from the curve it is held against.
type ResponsePoint struct {
	Hz            float64
	DB, Low, High float64
	Deviation     float64
	DevLow        float64
	DevHigh       float64
}

// BandLevel is the mean deviation over a band, in dB relative to 1 kHz.
type BandLevel struct {
	FromHz, ToHz float64
	Level        Reading
}

// SweptDistortion is the distortion as a sweep passed a frequency, in percent of
// the fundamental: harmonics 2 to 5 that the rate holds, root-sum-square, and one
// by one. FloorPercent is what the noise alone would read.
type SweptDistortion struct {
	Hz, Percent, FloorPercent float64
	Harmonics                 []Harmonic
}

// ResponseFile is a recording that took part.
type ResponseFile struct {
	Origin   capture.Origin
	Rate     int
	From, To float64
}

// ResponseResult is an audio response.
type ResponseResult struct {
	How        ResponseHow
	Kind       string // what the recordings hold; empty if it was not found
	Why        string // there is no response, and why, for people
	Files      []ResponseFile
	Reference  float64 // Hz that levels are relative to
	Points     []ResponsePoint
	EdgeLow    Reading // Hz, -3 dB of the deviation, below 1 kHz
	EdgeHigh   Reading // and above
	Tilt       Reading // dB an octave, of the deviation
	Bands      []BandLevel
	Balance    Reading // dB, the lowest band less the highest
	Lean       string  // what that sounds like: one of the Lean words
	Mask       *MaskResult
	Distortion []SweptDistortion
	Speech     *SpeechFacts
	Warnings   []capture.Warning

	Levels ResponseLevels // what all of that is computed from
}

// OK tells whether there is a response.
func (r ResponseResult) OK() bool { return r.Why == "" }

func (r *listener) warn(code, text string, at ...float64) {
	r.Warnings = append(r.Warnings, capture.Warning{Code: code, Text: text, AtS: at})
}

// longestResponse is how many seconds of a sweep or of a multitone are read.
const longestResponse = 120

// listener is a response that is being read.
type listener struct{ ResponseResult }

// Response reads the audio response from recordings of stepped tones (in one
// recording or several), of a sweep, of a multitone, or of speech. Levels are in
// dB relative to 1 kHz, the monitor's own curve taken out; deviations are from the
// curve that how.Against names. Intervals are 95 % ones, from the noise beside the
// tones or the scatter of the speech, with the spread between talkers.
//
// It fails only if a recording cannot be read; what does not fit gives Why.
func Response(rs []capture.Recording, how ResponseHow) (ResponseResult, error) {
	out := listener{ResponseResult{How: how, Reference: response.Reference}}
	if len(rs) == 0 {
		out.Why = "there is no recording"
	}
	for _, r := range rs {
		out.Files = append(out.Files, ResponseFile{Origin: r.Origin, Rate: r.Rate, From: r.FromSeconds(), To: r.ToSeconds()})
		out.Warnings = append(out.Warnings, r.Origin.Warnings...)
		heard, bad, err := listen(r)
		out.Warnings = append(out.Warnings, heard...)
		if err != nil {
			return out.ResponseResult, err
		}
		if bad {
			out.Why = whyNotFinite
			return out.ResponseResult, nil
		}
		if r.Rate < 2*minResponseTop {
			out.Why = fmt.Sprintf("a sample rate of %d Hz holds too little of the audio: record at 8000 Hz or more", r.Rate)
			return out.ResponseResult, nil
		}
	}
	if !out.OK() {
		return out.ResponseResult, nil
	}
	var err error
	switch how.Kind {
	case ResponseStepped:
		err = out.stepped(rs)
	case ResponseSweep:
		err = out.swept(rs)
	case ResponseMultitone:
		err = out.multitone(rs)
	case ResponseSpeech:
		err = out.speech(rs)
	default:
		err = out.any(rs)
	}
	return out.ResponseResult, err
}

// minResponseTop is the frequency in Hz that a recording has to hold at least.
const minResponseTop = 2000

// any takes the first kind that fits.
func (r *listener) any(rs []capture.Recording) error {
	before := *r
	for _, try := range []func([]capture.Recording) error{r.stepped, r.swept, r.multitone, r.talk} {
		if err := try(rs); err != nil || r.Kind != "" {
			return err
		}
		*r = before
	}
	r.Why = "neither tones one after the other nor a sweep, a multitone or somebody talking is heard in it; say what it is with --kind, or record again louder"
	return nil
}

// talk is speech, if it is plainly that.
func (r *listener) talk(rs []capture.Recording) error {
	if err := r.speech(rs); err != nil {
		return err
	}
	if r.Speech == nil || r.Speech.Noise || r.Speech.Voiced < speechVoiced {
		r.Kind = ""
	}
	return nil
}

// samplesOf reads a recording into memory.
func samplesOf(r capture.Recording) ([]float64, error) {
	x := make([]float64, 0, r.Count)
	for b, err := range r.Blocks() {
		if err != nil {
			return nil, err
		}
		x = append(x, b...)
	}
	return x, nil
}

// wholeOf reads a recording that is not too long for its kind.
func (r *listener) wholeOf(rec capture.Recording, kind string) ([]float64, error) {
	if rec.Seconds() > longestResponse {
		r.Why = fmt.Sprintf("%.0f s is too long for a %s: name the part that holds it with --from and --to, %d s at most", math.Floor(rec.Seconds()), kind, longestResponse)
		return nil, nil
	}
	return samplesOf(rec)
}
