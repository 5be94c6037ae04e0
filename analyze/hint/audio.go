package hint

import (
	"fmt"
	"math"

	"hisspoint/analyze"
	"hisspoint/capture/job"
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
	evidence := []string{}
	if ok && even > evenTroubles && even > 2*odd {
		evidence = append(evidence, fmt.Sprintf("even harmonics %.1f %%, odd ones %.1f %%", even, odd))
	}
	if c, ok := f.figure(job.KindCentring, job.FigureCentre); ok && (analyze.Over(c, 700) || analyze.Under(c, -700)) {
		evidence = append(evidence, fmt.Sprintf("centre at %.0f Hz", c.Value))
	} else if e, ok := f.figure(job.KindCentring, job.FigureEvenCentre); ok && (analyze.Over(e, 1000) || analyze.Under(e, -1000)) {
		evidence = append(evidence, fmt.Sprintf("even harmonics least at an offset of %.0f Hz", e.Value))
	}
	if len(evidence) < 2 {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "detector", Text: "Even harmonics together with an offset point to a detector, or an IF filter, that is off its middle, or to a set off frequency.",
		Evidence: evidence, First: "the set's frequency on the channel, then the detector's coil, by the DC at the detector and by least distortion",
		Also: "a generator off frequency"}, true
}

func hintClipping(f findings) (analyze.Hint, bool) {
	even, odd, ok := f.harmonics()
	if !ok || odd < oddTroubles || odd < even/2 {
		return analyze.Hint{}, false
	}
	h := analyze.Hint{Name: "clipping", Text: "Odd harmonics at the volume of the test point to clipping in the audio stages, or to an IF filter too narrow for the deviation.",
		Evidence: []string{fmt.Sprintf("odd harmonics %.1f %%, even ones %.1f %%", odd, even)},
		First:    "the same recording with the volume down by half: clipping goes, a narrow filter stays; then with less deviation",
		Also:     "a recording that is overdriven in the sound card"}
	if even > oddTroubles {
		h.Text = "Odd and even harmonics at the volume of the test point to unsymmetrical clipping: one half of the output stage gives up first."
		h.First = "the DC at the output stage's middle, and the same recording with the volume down by half"
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
	return analyze.Hint{Name: "crossover", Text: "Distortion that rises as the volume falls points to crossover distortion: too little quiescent current in the output stage.",
		Evidence: []string{fmt.Sprintf("THD %.1f %% at the lowest volume, %.1f %% at its best", quiet.Get(analyze.THD).Value, best.Get(analyze.THD).Value)},
		First:    "the output stage's quiescent current",
		Also:     "a worn volume control"}, true
}

// cornerTroubles is the low -3 dB edge, in Hz, beyond which the sound is thin:
// sets in working order pass 300 Hz.
const cornerTroubles = 400

func hintCoupling(f findings) (analyze.Hint, bool) {
	edge, ok := f.figure(job.KindResponse, job.FigureEdgeLow)
	if _, clips := hintClipping(f); clips || !ok || !analyze.Over(edge, cornerTroubles) || f.rises(job.KindResponse) {
		return analyze.Hint{}, false // loud low tones that clip, and a missing de-emphasis, look like it
	}
	return analyze.Hint{Name: "coupling-capacitor", Text: "A low corner far above 300 Hz points to a coupling capacitor that has dried out.",
		Evidence: []string{fmt.Sprintf("-3 dB at %.0f Hz", edge.Value)},
		First:    "the coupling capacitors from the detector to the speaker, against new ones held across them",
		Also:     "a small speaker or load in place of the resistor, or a high-pass on purpose against sub-audible tones"}, true
}

// slopeTroubles is the tilt against the curve that is due, in dB an octave.
const slopeTroubles = 3.0

func hintNoDeEmphasis(f findings) (analyze.Hint, bool) {
	tilt, ok := f.receiverTilt()
	if !ok || !analyze.Over(tilt, slopeTroubles) || !f.rises(job.KindResponse) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "no-de-emphasis", Text: "Audio that does not fall as it should points to de-emphasis that is missing.",
		Evidence: []string{fmt.Sprintf("tilt %+.1f dB an octave against de-emphasis", tilt.Value)},
		First:    "the de-emphasis capacitor behind the detector",
		Also:     "a generator with pre-emphasis switched on, or a recording at the detector itself"}, true
}

func hintDoubleDeEmphasis(f findings) (analyze.Hint, bool) {
	tilt, ok := f.receiverTilt()
	if !ok || !analyze.Under(tilt, -slopeTroubles) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "double-de-emphasis", Text: "Audio that falls too steeply points to de-emphasis twice, or to a capacitor across the audio that is too large.",
		Evidence: []string{fmt.Sprintf("tilt %+.1f dB an octave against de-emphasis", tilt.Value)},
		First:    "what was added to the audio path, and the tone control",
		Also:     "an IF filter too narrow for high tones, or a sound card with an equaliser switched on"}, true
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
	return analyze.Hint{Name: "limiting", Text: "Audio that still rises with a strong signal points to a limiter that does not limit: too little gain before the detector.",
		Evidence: []string{fmt.Sprintf("audio 1 dB down at %.1f dBm still", knee.Value)},
		First:    "gain and supply of the IF amplifier and limiter",
		Also:     "an AGC, if the set has one"}, true
}

func hintSquelchDead(f findings) (analyze.Hint, bool) {
	for _, t := range f.tests {
		if t.Kind != job.KindSquelchLevels || t.Result == nil || t.Result.Why != "" {
			continue
		}
		opens := t.Result.Get(job.FigureOpensAt)
		if !opens.OK() && opens.Why == analyze.WhyNeverOpens {
			return analyze.Hint{Name: "squelch-dead", Text: "The squelch opened at none of the levels recorded.",
				Evidence: []string{"muted at all levels"},
				First:    "the squelch control's setting, then the squelch detector's input",
				Also:     "a strongest level that was too weak, or a tone squelch that waits for its tone"}, true
		}
	}
	return analyze.Hint{}, false
}

func hintChatter(f findings) (analyze.Hint, bool) {
	c, ok := f.figure(job.KindSquelch, job.FigureChatter)
	if !ok || c.Value < 2 {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "chatter", Text: "A squelch that opens and shuts several times for one signal has too little hysteresis or smoothing.",
		Evidence: []string{fmt.Sprintf("%.0f openings within 0.2 s of a closing", c.Value)},
		First:    "the smoothing capacitor of the squelch detector, and the feedback resistor that makes its hysteresis",
		Also:     "a signal right at the threshold: key it 3 dB stronger"}, true
}
