package hint

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// harmonics are the even and odd ones of the distortion test, in percent.
func (f findings) harmonics() (even, odd float64, ok bool) {
	r, ok := f.result(job.KindDistortion)
	if !ok || !r.Get(analyze.THD).OK() {
		return 0, 0, false
	}
	even, odd = analyze.HarmonicsApart(r.Rows[0].Measured.Harmonics)
	return even, odd, true
}

const (
	evenTroubles = 4.0 // percent; sets in working order show 2 % and less
	oddTroubles  = 4.0
)

// hintDetector wants a second sign beside even harmonics: an audio stage makes
// them too.
func hintDetector(f findings) (analyze.Hint, bool) {
	even, odd, ok := f.harmonics()
	var evidence []note.Note
	if ok && even > evenTroubles && even > 2*odd {
		evidence = append(evidence, note.Of("even-and-odd", note.Percent(even), note.Percent(odd)))
	}
	if c, ok := f.figure(job.KindCentring, job.FigureCentre); ok && (analyze.Over(c, 700) || analyze.Under(c, -700)) {
		evidence = append(evidence, note.Of("centre-at", note.Hz(c.Value)))
	} else if e, ok := f.figure(job.KindCentring, job.FigureEvenCentre); ok && (analyze.Over(e, 1000) || analyze.Under(e, -1000)) {
		evidence = append(evidence, note.Of("even-least-at", note.Hz(e.Value)))
	}
	if len(evidence) < 2 {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "detector", Evidence: evidence}, true
}

func hintClipping(f findings) (analyze.Hint, bool) {
	even, odd, ok := f.harmonics()
	if !ok || odd < oddTroubles || odd < even/2 {
		return analyze.Hint{}, false
	}
	h := analyze.Hint{Name: "clipping", Evidence: []note.Note{note.Of("odd-and-even", note.Percent(odd), note.Percent(even))}}
	if even > oddTroubles {
		h.As = "clipping-of-one-half"
	}
	return h, true
}

// hintCrossover looks for distortion that rises as the volume falls, while the
// audio still stands well above its noise.
func hintCrossover(f findings) (analyze.Hint, bool) {
	r, ok := f.result(job.KindAudioPower)
	if !ok || len(r.Rows) < 3 {
		return analyze.Hint{}, false
	}
	var quiet, best *analyze.Measured
	for i := range r.Rows {
		m := &r.Rows[i].Measured
		if !m.Get(analyze.THD).OK() || !m.Get(analyze.ToneLevel).OK() || !analyze.Over(m.Get(analyze.SNR), 25) {
			continue
		}
		if quiet == nil || m.Get(analyze.ToneLevel).Value < quiet.Get(analyze.ToneLevel).Value {
			quiet = m
		}
		if best == nil || m.Get(analyze.THD).Value < best.Get(analyze.THD).Value {
			best = m
		}
	}
	if quiet == nil || quiet == best || !analyze.Over(quiet.Get(analyze.THD), math.Max(4, 2*best.Get(analyze.THD).Value)) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "crossover", Evidence: []note.Note{note.Of("thd-over-volume", note.Percent(quiet.Get(analyze.THD).Value), note.Percent(best.Get(analyze.THD).Value))}}, true
}

// cornerTroubles is the low -3 dB edge, in Hz, beyond which the sound is thin:
// sets in working order pass 300 Hz.
const cornerTroubles = 400

func hintCoupling(f findings) (analyze.Hint, bool) {
	edge, ok := f.figure(job.KindResponse, job.FigureEdgeLow)
	if _, clips := hintClipping(f); clips || !ok || !analyze.Over(edge, cornerTroubles) || f.rises(job.KindResponse) {
		return analyze.Hint{}, false // loud low tones that clip, and a missing de-emphasis, look like it
	}
	return analyze.Hint{Name: "coupling-capacitor", Evidence: []note.Note{note.Of("low-edge-at", note.Hz(edge.Value))}}, true
}

// slopeTroubles is the tilt against the curve that is due, in dB an octave.
const slopeTroubles = 3.0

func hintNoDeEmphasis(f findings) (analyze.Hint, bool) {
	tilt, ok := f.receiverTilt()
	if !ok || !analyze.Over(tilt, slopeTroubles) || !f.rises(job.KindResponse) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "no-de-emphasis", Evidence: []note.Note{note.Of("tilt-against-de-emphasis", note.DB(tilt.Value))}}, true
}

func hintDoubleDeEmphasis(f findings) (analyze.Hint, bool) {
	tilt, ok := f.receiverTilt()
	if !ok || !analyze.Under(tilt, -slopeTroubles) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "double-de-emphasis", Evidence: []note.Note{note.Of("tilt-against-de-emphasis", note.DB(tilt.Value))}}, true
}

// rises tells whether a response deviates upwards above 1 kHz still, by 4 dB and
// more near 2.5 kHz: a slope that is wrong does, a low corner does not.
func (f findings) rises(kind string) bool {
	r, ok := f.result(kind)
	if !ok || r.Response == nil {
		return false
	}
	for _, p := range r.Response.Points {
		if p.Hz > 2300 && p.Hz < 2700 {
			return p.DevLow > 4
		}
	}
	return false
}

// receiverTilt is that of a response held against de-emphasis.
func (f findings) receiverTilt() (analyze.Reading, bool) {
	r, ok := f.result(job.KindResponse)
	if !ok || r.Response == nil || r.Response.How.Against != analyze.AgainstDeEmphasis {
		return analyze.Reading{}, false
	}
	return r.Get(job.FigureTilt), r.Get(job.FigureTilt).OK()
}

// limitsBy is the level, in dBm, by which an FM set's audio stands within 1 dB of
// that of a strong signal: 2 uV PD, well above any threshold.
const limitsBy = -101.0

func hintLimiting(f findings) (analyze.Hint, bool) {
	knee, ok := f.figure(job.KindLevelCurve, job.FigureLimitingOneDB)
	if !ok || knee.Unit != "dBm" || !analyze.Over(knee, limitsBy) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "limiting", Evidence: []note.Note{note.Of("audio-down-at", note.DBm(knee.Value))}}, true
}

func hintSquelchDead(f findings) (analyze.Hint, bool) {
	for _, t := range f.tests {
		if t.Kind != job.KindSquelchLevels || t.Result == nil || t.Result.Why != "" {
			continue
		}
		opens := t.Result.Get(job.FigureOpensAt)
		if !opens.OK() && opens.Why == analyze.WhyNeverOpens {
			return analyze.Hint{Name: "squelch-dead", Evidence: []note.Note{note.Of("muted-at-all")}}, true
		}
	}
	return analyze.Hint{}, false
}

func hintChatter(f findings) (analyze.Hint, bool) {
	c, ok := f.figure(job.KindSquelch, job.FigureChatter)
	if !ok || c.Value < 2 {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "chatter", Evidence: []note.Note{note.Of("openings-after-closing", note.Count(c.Value))}}, true
}
