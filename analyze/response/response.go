// Package response measures an audio response from whatever was played: tones one by
// one, several at once, a sweep or speech; with its tilt, bands, edges and mask, and
// two of them against each other. It must not know which test it belongs to.
package response

import (
	"fmt"
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/audio"
	"hisspoint/analyze/soundness"
	"hisspoint/capture"
	"hisspoint/capture/note"
)

func (r *listener) warn(code capture.Code, says note.Note, at ...float64) {
	r.Warnings = append(r.Warnings, capture.Warning{Code: code, Says: says, AtS: at})
}

// longestResponse is how many seconds of a sweep or of a multitone are read.
const longestResponse = 120

// listener is a response that is being read.
type listener struct{ analyze.ResponseResult }

// Measure reads the audio response from recordings of stepped tones (in one
// recording or several), of a sweep, of a multitone, or of speech. Levels are in
// dB relative to 1 kHz, the monitor's own curve taken out; deviations are from the
// curve that how.Against names. Intervals are 95 % ones, from the noise beside the
// tones or the scatter of the speech, with the spread between talkers.
//
// It fails only if a recording cannot be read; what does not fit gives Why.
func Measure(rs []capture.Recording, how analyze.ResponseHow) (analyze.ResponseResult, error) {
	out := listener{analyze.ResponseResult{How: how, Reference: audio.Reference}}
	if len(rs) == 0 {
		out.Why = "there is no recording"
	}
	for _, r := range rs {
		out.Files = append(out.Files, analyze.ResponseFile{Origin: r.Origin, Rate: r.Rate, From: r.FromSeconds(), To: r.ToSeconds()})
		out.Warnings = append(out.Warnings, r.Origin.Warnings...)
		heard, bad, err := soundness.Listen(r)
		out.Warnings = append(out.Warnings, heard...)
		if err != nil {
			return out.ResponseResult, err
		}
		if bad {
			out.Why = string(capture.NotFinite)
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
	case analyze.ResponseStepped:
		err = out.stepped(rs)
	case analyze.ResponseSweep:
		err = out.swept(rs)
	case analyze.ResponseMultitone:
		err = out.multitone(rs)
	case analyze.ResponseSpeech:
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
	for _, try := range []func([]capture.Recording) error{r.stepped, r.swept, r.multitone, r.speech} {
		if err := try(rs); err != nil || r.Kind != "" {
			return err
		}
		*r = before
	}
	r.Why = "it holds neither tones one after the other nor a sweep, a multitone or a voice; say what it is with --kind, or record again louder"
	return nil
}

// SamplesOf reads a recording into memory.
func SamplesOf(r capture.Recording) ([]float64, error) {
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
	return SamplesOf(rec)
}
