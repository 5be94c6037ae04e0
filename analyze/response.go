package analyze

import (
	"math"
	"strings"

	"hisspoint/analyze/internal/audio"
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

// At is the monitor's level at a frequency relative to 1 kHz, and its standard
// uncertainty; ok is false where it is not known.
func (m MonitorCurve) At(hz float64) (dB, sd float64, ok bool) {
	if len(m.Hz) == 0 {
		switch m.Name {
		case Monitor750us:
			return -audio.TimeConstant(750e-6)(hz), 0, true
		case Monitor6dB:
			return -audio.SixDB(hz), 0, true
		}
		return 0, 0, true
	}
	t := audio.Table{Hz: m.Hz, DB: m.DB}
	v, ok := t.At(hz)
	r, at1k := t.At(audio.Reference)
	if len(m.SD) == len(m.Hz) {
		sd, _ = audio.Table{Hz: m.Hz, DB: m.SD}.At(hz)
	}
	return v - r, sd, ok && at1k
}

// Ideal is the curve that a response is held against, in dB relative to 1 kHz.
func Ideal(against string, hz float64) float64 {
	switch against {
	case AgainstPreEmphasis:
		return audio.SixDB(hz)
	case AgainstDeEmphasis:
		return -audio.SixDB(hz)
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
	BenchDB float64        // standard uncertainty of the bench's own response at 300 and 3000 Hz against 1 kHz, in dB
}

func (h ResponseHow) Played() signal.Sweep {
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

// ResponseDifference is one response less another: of the same set before and
// after work, or of the same talker through both.
type ResponseDifference struct {
	Why    string // there is none, and why, for people
	Points []ResponsePoint
	Tilt   Reading
	Bands  []BandLevel
	Lean   string // what changed: one of the Change words
}

// What a change sounds like.
const (
	ChangeBassier = "bassier"
	ChangeThinner = "thinner"
	ChangeSame    = "same"         // to within leanTilt
	ChangeOpen    = "undetermined" // the interval leaves it open
)

// ResponseLevels are what was measured at some frequencies: deviations in dB from
// what they are held against, but for a constant.
type ResponseLevels struct {
	Hz, DB  []float64
	SD      []float64   // of each alone; independent
	Without [][]float64 // instead of sd: dB with one block of the recording left out each
	Talkers bool        // the spread between talkers comes on top
	Card    []float64   // dB, the card's own response where it is known; else nil
	Bench   float64     // as ResponseHow.BenchDB; two responses of one bench share it
}

// ResponseMask bounds the deviation between two frequencies, in dB.
type ResponseMask struct {
	Name          string
	LowHz, HighHz float64
	Upper, Lower  float64
	Source        string
}

// LandMobileMask is the mask of land-mobile FM sets, receiver and transmitter
// alike: +1/-3 dB from 300 to 3000 Hz relative to 1 kHz, after TIA-603 2.1.10 and
// 2.2.6, from memory.
var LandMobileMask = ResponseMask{Name: "+1/-3 dB, 300 to 3000 Hz", LowHz: 300, HighHz: 3000, Upper: 1, Lower: -3, Source: "TIA-603 2.1.10, 2.2.6 (from memory)"}

// Outcomes of a mask, as those of limits.
const (
	MaskInside    = "pass"
	MaskOutside   = "fail"
	MaskUndecided = "undecided"
	MaskNotJudged = "not-judged"
)

// MaskResult is what a mask says of a response.
type MaskResult struct {
	Mask    ResponseMask
	Outcome string
	Why     string  // of not-judged and undecided, for people
	WorstDB float64 // deviation that lies furthest out, or nearest to a bound
	WorstHz float64
}

// MaskGap is how many octaves may lie between two points for a mask to be judged.
const MaskGap = 0.45

// MaskPoints are the points between the mask's ends, and those on the ends.
func (r ResponseResult) MaskPoints(m ResponseMask) []ResponsePoint {
	var out []ResponsePoint
	for i, p := range r.Points {
		if i > 0 {
			for _, end := range []float64{m.LowHz, m.HighHz} {
				before := r.Points[i-1]
				if before.Hz < end*(1-AtEnd) && p.Hz > end*(1+AtEnd) && math.Log2(p.Hz/before.Hz) <= MaskGap {
					out = append(out, between(before, p, end))
				}
			}
		}
		if p.Hz >= m.LowHz*(1-AtEnd) && p.Hz <= m.HighHz*(1+AtEnd) {
			out = append(out, p)
		}
	}
	return out
}

// AtEnd is the share of a frequency by which a tone may miss a mask's end.
const AtEnd = 0.005

func between(a, b ResponsePoint, hz float64) ResponsePoint {
	u := math.Log(hz/a.Hz) / math.Log(b.Hz/a.Hz)
	mix := func(x, y float64) float64 { return x + u*(y-x) }
	return ResponsePoint{Hz: hz, Deviation: mix(a.Deviation, b.Deviation), DevLow: mix(a.DevLow, b.DevLow), DevHigh: mix(a.DevHigh, b.DevHigh)}
}

// AgainstMask is the deviation that lies furthest out of the mask that a test asks for, or
// nearest to its bounds; ok is false where the test asks for none.
func (r ResponseResult) AgainstMask(t job.Setup) (worst Reading, ok bool) {
	if name := t.Setting(job.SettingMask); name == "" || strings.EqualFold(name, job.MaskNone) {
		return Reading{}, false
	}
	if r.Mask == nil {
		return None(job.FigureMask, "dB", "speech does not reach a mask evenly: take stepped tones or a sweep"), true
	}
	for _, p := range r.MaskPoints(r.Mask.Mask) {
		if p.Hz == r.Mask.WorstHz && r.Mask.Outcome != MaskNotJudged {
			return NewReading(job.FigureMask, "dB", p.Deviation, p.DevLow, p.DevHigh), true
		}
	}
	return None(job.FigureMask, "dB", Why(r.Mask.Why)), true
}

// Figure is a figure of a response by its name, the card's own response in its
// interval.
func (r ResponseResult) Figure(name string) Reading {
	return Result{Figures: r.Figures()}.Get(name)
}

// Figures are the figures of a response; the extremes are those within
// the mask's range.
func (r ResponseResult) Figures() []Reading {
	most, least := None(job.QuantityResponse, "dB", "no tone lies between 300 and 3000 Hz"), None(job.QuantityResponse+job.FigureLeast, "dB", "no tone lies between 300 and 3000 Hz")
	if r.Kind != ResponseSpeech {
		for _, p := range r.MaskPoints(LandMobileMask) {
			most = Highest(most, NewReading(job.QuantityResponse, "dB", p.Deviation, p.DevLow, p.DevHigh))
			least = Lowest(least, NewReading(job.QuantityResponse+job.FigureLeast, "dB", p.Deviation, p.DevLow, p.DevHigh))
		}
	}
	if r.Mask != nil && r.Mask.Outcome == MaskNotJudged {
		const why = "the points do not reach over 300 to 3000 Hz"
		most, least = None(most.Name, "dB", why), None(least.Name, "dB", why)
	}
	if r.Kind == ResponseSpeech {
		return []Reading{r.Tilt, r.Balance}
	}
	return []Reading{r.Tilt, most, least, r.Balance, r.EdgeLow, r.EdgeHigh}
}

// SpeechFacts is what was heard of speech.
type SpeechFacts struct {
	ActiveS  float64 // seconds in which somebody talks
	Voiced   float64 // share of it that has the pitch of a voice
	Noise    bool    // it does not rise and fall as talk does: noise shaped as speech
	Spectrum string  // what it is held against
	// OtherTilt is the tilt against the other published spectrum, dB an octave.
	OtherTilt     float64
	OtherSpectrum string
}

// What a response sounds like.
const (
	LeanBassy = "bassy"        // too much bass for its treble
	LeanThin  = "thin"         // too little
	LeanEven  = "even"         // neither, to within leanTilt
	LeanOpen  = "undetermined" // the interval leaves it open
)

// How far the long-term spectra of talkers differ from their mean, taken as a
// slope of its own for each and a difference of its own in each third octave, as
// standard deviations. Common practice, no source: third-octave levels of single
// talkers are usually met within some 3 to 5 dB of the mean, and slopes within
// 1 to 2 dB an octave, which loud and soft talking covers too.
const (
	TalkerTilt = 1.0 // dB an octave
	TalkerBand = 3.0 // dB in a third-octave band
)
