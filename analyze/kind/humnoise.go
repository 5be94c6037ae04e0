package kind

import (
	"cmp"
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
)

// strongSignal is the level in dBm at the set below which the noise of the
// receiver's input is expected to matter: 100 µV PD. Audio tests are made at
// 1 mV (TIA-603, from memory).
const strongSignal = -67

// HumNoise compares the output with the standard modulation with the output
// with an unmodulated carrier, both at one, strong level and one volume:
//
//	hum and noise = 10 log10(P modulated / P carrier)
//
// with the power of all that passes the filter. Hum lies below the speech band,
// so the filter is wide (20 Hz to 20 kHz) unless the test states another than
// the speech band. Hum (the mains family, unfiltered) and noise (the rest,
// filtered) are also given apart, and the hum line by line.
func HumNoise(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	if f := t.Reading.Filter.Name; f == "" || f == job.SpeechBand {
		t.Reading.Filter = job.Filter{Name: job.Wide}
	}
	rows, why, err := takes.Gather(t, rs, takes.Switched(takes.OnOffParts...))
	if err != nil || why != "" {
		return analyze.Refused(t, why, rows...), err
	}
	modulated, carriers := takes.InState(rows, job.StateModulated), takes.InState(rows, job.StateCarrier)
	if why := humMisfit(t, rows, modulated, carriers); why != "" {
		return analyze.Refused(t, why, rows...), nil
	}
	on, off, ok := pairOf(t, modulated, carriers, analyze.Used{})
	if !ok {
		return analyze.Refused(t, "carrier and modulation were recorded at different levels: record both at one, strong level", rows...), nil
	}
	out := analyze.Result{Setup: t, Figures: humFigures(on, off)}
	for i := range rows {
		if rows[i].Take == off.Take {
			rows[i].Worth = humLines(on, off)
		}
	}
	out.Rows = rows
	out.Says = append(humSays(t, on, off), residualSays(t, out.Figures[0])...)
	out.Lines, err = spectrumOf(rs, off.Measured)
	return out, err
}

// humMisfit says why the recordings are none of a hum and noise test.
func humMisfit(t job.Setup, rows, modulated, carriers []analyze.Used) string {
	switch {
	case len(modulated) == 0:
		return "hum and noise needs the standard modulation as well: record one part or file with the modulation on"
	case len(carriers) == 0:
		return "hum and noise needs an unmodulated carrier: record one part or file with the modulation off"
	}
	for _, u := range modulated {
		if !analyze.HasTone(u) {
			return "there is no tone in " + takes.Named(u) + ": was the modulation on?"
		}
	}
	for _, u := range carriers {
		if tone := takes.ToneIn(u); tone != "" {
			return tone + ", but the carrier must be unmodulated: switch the modulation off and record again"
		}
		if o := output(u); o.Why == analyze.WhySilence {
			return takes.Named(u) + " is silent: was the squelch closed, or the volume turned down?"
		} else if !o.OK() {
			return takes.Named(u) + " gives no output: " + string(o.Why)
		}
	}
	return sameVolume(t, rows)
}

func humFigures(on, off analyze.Used) []analyze.Reading {
	hum := analyze.Below(job.FigureHumBelow, output(on), off.Measured.Get(analyze.HumLevel))
	noise := analyze.Below(job.FigureNoiseBelow, output(on), noiseOf(off.Measured))
	return append([]analyze.Reading{analyze.Below(job.QuantityHumNoise, output(on), output(off)), hum, noise}, recovered(on)...)
}

// humLines are the lines of the hum, in dB below the audio.
func humLines(on, off analyze.Used) []analyze.Reading {
	var out []analyze.Reading
	for _, l := range off.Measured.Kept.Hum {
		out = append(out, analyze.Below(l.Name, output(on), l))
	}
	return out
}

func humSays(t job.Setup, on, off analyze.Used) []note.Note {
	var says []note.Note
	if l, ok := analyze.AtSet(t, off.Take); ok && l.Scale == unit.Absolute && l.DB < strongSignal {
		says = append(says, note.Phrase("the signal is weak for this test: the receiver's own noise is part of the figure; use 1 mV"))
	}
	if lines := off.Measured.Kept.Hum; len(lines) > 0 {
		top := slices.MaxFunc(lines, func(a, b analyze.Reading) int { return cmp.Compare(a.Value, b.Value) })
		says = append(says, note.Of("strongest-hum-line", note.Hz(lineHz(off.Measured, top)), note.DB(output(on).Value-top.Value)))
	}
	if hum, noise := off.Measured.Get(analyze.HumLevel), noiseOf(off.Measured); hum.OK() && noise.OK() {
		if d := hum.Value - noise.Value; d > 3 {
			says = append(says, note.Phrase("hum is stronger than noise"))
		} else if d < -3 {
			says = append(says, note.Phrase("noise is stronger than hum"))
		}
	}
	if hz := off.Measured.SubAudibleTone; hz > 0 {
		says = append(says, note.Of("steady-line-counts", note.Hz(hz)))
	}
	return says
}

// lineHz is the frequency of the hum line that a reading speaks of.
func lineHz(m analyze.Measured, r analyze.Reading) float64 {
	for i, l := range m.Kept.Hum {
		if l.Name == r.Name {
			return m.HumLines[i].FrequencyHz
		}
	}
	return 0
}

// capMatters is how close in dB a figure may come to what the generator alone gives
// before the generator is a large part of it: at 6 dB it is a quarter.
const capMatters = 6

// residualCap is the hum and noise that the residual FM of the generator alone
// gives, 20 log10((d/sqrt 2)/r) dB with the peak deviation d of the standard
// modulation and the residual FM r, RMS in the speech band. De-emphasis moves it by
// less than 1 dB.
func residualCap(deviation, residual float64) float64 {
	return 20 * math.Log10(deviation/math.Sqrt2/residual)
}

// residualSays tells how much of a figure is the generator's residual FM, where
// that is stated.
func residualSays(t job.Setup, f analyze.Reading) []note.Note {
	residual, err := unit.ParseFrequency(t.Setting(job.SettingResidualFM))
	if err != nil || t.Mode == job.AM || !f.OK() {
		return nil
	}
	if t.Deviation <= 0 {
		return []note.Note{note.Phrase("the residual FM of the generator says nothing without the deviation: state it too")}
	}
	most := residualCap(t.Deviation, residual)
	says := "residual-hardly-counts"
	if f.Value > most-capMatters {
		says = "residual-counts"
	}
	return []note.Note{note.Of(says, note.Hz(residual), note.DB(most), note.Hz(t.Deviation))}
}
