package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports/sentence"
)

// What a recording should last, in seconds. A reading needs that much for an
// interval that is worth having, a stretch of a longer recording to be found in it.
const (
	shortest        = 2.0
	shortestStretch = 1.5
	shortestSpeech  = 15.0
)

// toneNear is how far, as a share, a tone may lie from the planned one: what the
// generator's modulator and the card's clock do between them.
const toneNear = 0.02

// told are the warnings of a recording that matter before anything is made of it.
var told = []capture.Code{capture.Clipped, capture.ClippedBelow, capture.DroppedSamples, capture.ProcessedAudio, capture.CodedAudio, capture.BytesSwapped, capture.Truncated, capture.HeaderRepaired, capture.RateSuspect}

// suits looks whether a recording can be what it was put in the place of. What no
// fault of a set explains is Wrong; what one may explain is a doubt.
func (a *AddedReading) suits(j *job.Job, r *job.Round, t job.Test) {
	m := a.measured
	kind, _ := job.KindOf(t.Kind)
	how := HowFor(j, t, a.Take)
	for _, w := range m.Warnings {
		if slices.Contains(told, w.Code) {
			a.doubt("%s", sentence.Of(w.Says))
		}
	}
	if peak := m.Get(analyze.Peak); m.Frames > 0 && (!peak.OK() || math.IsInf(peak.Value, -1)) {
		a.wrong("every sample is zero, and a card always hears a little: check input, cable and mute")
		return
	}
	seconds := m.To - m.From
	switch want := a.wants(kind, t); {
	case seconds < want:
		a.doubt("is %.1f s long, and %s wants %g s or more", seconds, a.Label, want)
	}
	tone := m.Get(analyze.SINAD).OK()
	hz := m.Get(analyze.ToneFrequency)
	switch {
	case a.silent(j, kind, t) && tone:
		a.wrong("has a tone of %.0f Hz, and nothing is modulated for %s: switch the modulation off and record again, or put it in another place", hz.Value, strings.TrimSpace(a.Label+" "+a.Take.State))
	case !a.Tone:
	case !tone && m.OtherTone != 0 && math.Abs(m.OtherTone/how.Tone()-1) > toneNear:
		a.wrong("has a tone of %.0f Hz, planned is %g Hz: hisspoint job set tests.%s.tone \"%.0f Hz\", or record again", m.OtherTone, how.Tone(), TypedTest(t), m.OtherTone)
	case tone && hz.OK() && math.Abs(hz.Value/how.Tone()-1) > toneNear:
		a.doubt("its tone is at %.0f Hz, planned is %g Hz", hz.Value, how.Tone())
	case !tone && !seriesRises(t):
		a.doubt("no tone stands out in it: right for a set that gives none, else check modulation and input")
	}
}

func (a *AddedReading) doubt(format string, args ...any) {
	a.Doubts = append(a.Doubts, a.File+": "+fmt.Sprintf(format, args...))
}

func (a *AddedReading) wrong(format string, args ...any) {
	if a.Wrong == "" {
		a.Wrong = a.File + ": " + fmt.Sprintf(format, args...)
	}
}

// wants is how long the recording ought to be.
func (a *AddedReading) wants(kind job.Kind, t job.Test) float64 {
	if a.Whole && len(t.AllTakes()) > 1 {
		return shortestStretch * float64(len(t.AllTakes()))
	}
	if kind.Holds == job.HoldsSpeech {
		return shortestSpeech
	}
	return shortest
}

// silent tells whether nothing may be modulated in a recording. A carrier is a tone
// in SSB.
func (a *AddedReading) silent(j *job.Job, kind job.Kind, t job.Test) bool {
	switch {
	case a.Key != "":
		return false
	case kind.Holds == job.HoldsSilence:
		return true
	case a.Whole:
		return false
	case a.Take.State == job.StateOff, kind.Point && a.Take.Level.Scale == unit.Off:
		return true
	case t.Stanza.Criterion.Quantity == job.QuantityQuieting:
		return true
	}
	return a.Take.State == job.StateCarrier && j.Set.Mode != job.SSB && !kind.Transmit
}

// oddOnesOut compares recordings with those of the same round that were added with
// them or before: one card is used at one rate, and the set stays on one of its
// channels.
func oddOnesOut(rows, before []AddedReading) {
	all := append(slices.Clone(before), rows...)
	rate := usual(all)
	for i := range rows {
		a := &rows[i]
		k := slices.IndexFunc(all, func(b AddedReading) bool { return b.measured.Rate == rate })
		if a.measured.Rate != rate && k >= 0 {
			a.doubt("is sampled at %g kHz, %s at %g kHz: record all with one sound card at one rate", float64(a.measured.Rate)/1000, all[k].File, float64(rate)/1000)
		}
		earlier := all[:len(before)+i]
		k = slices.IndexFunc(earlier, func(b AddedReading) bool {
			return b.Tone && a.Tone && b.SINAD.OK() && a.SINAD.OK() && b.measured.Origin.Channel != a.measured.Origin.Channel
		})
		if k >= 0 {
			a.doubt("has its tone on channel %d, %s on channel %d: check the plug", a.measured.Origin.Channel, earlier[k].File, earlier[k].measured.Origin.Channel)
		}
	}
}

// usual is the sample rate that most recordings have, of two alike the first.
func usual(rows []AddedReading) int {
	count := map[int]int{}
	best := 0
	for _, r := range rows {
		count[r.measured.Rate]++
		if best == 0 || count[r.measured.Rate] > count[best] {
			best = r.measured.Rate
		}
	}
	return best
}
