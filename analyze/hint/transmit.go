package hint

import (
	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
)

func hintNoPreEmphasis(f findings) (analyze.Hint, bool) {
	r, ok := f.result(job.KindTransmitResponse)
	if !ok || r.Response == nil || r.Response.How.Against != analyze.AgainstPreEmphasis || !analyze.Under(r.Get(job.FigureTilt), -slopeTroubles/2) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "bassy-transmit", Evidence: []note.Note{note.Of("tilt-against-pre-emphasis", note.DB(r.Get(job.FigureTilt).Value))}}, true
}

func hintThinTransmit(f findings) (analyze.Hint, bool) {
	edge, ok := f.figure(job.KindTransmitResponse, job.FigureEdgeLow)
	if !ok || !analyze.Over(edge, cornerTroubles) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "thin-transmit", Evidence: []note.Note{note.Of("low-edge-at", note.Hz(edge.Value))}}, true
}

// deviationOver is how far above the rated deviation counts, in percent of it.
const deviationOver = 110

func hintOverDeviation(f findings) (analyze.Hint, bool) {
	share, ok := f.figure(job.KindLimiter, job.FigureLimitGain)
	if !ok || !analyze.Over(share, deviationOver) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "over-deviation", Evidence: []note.Note{note.Of("largest-deviation", note.Percent(share.Value))}}, true
}

// hintWeakLimiter wants the deviation to grow still between the last two inputs.
func hintWeakLimiter(f findings) (analyze.Hint, bool) {
	r, ok := f.result(job.KindLimiter)
	if !ok {
		return analyze.Hint{}, false
	}
	limited := r.Get(job.FigureLimited)
	rated, err := unit.ParseFrequency(r.Setup.Setting(job.SettingRatedDeviation))
	if err != nil || !analyze.Over(limited, 1.25*rated) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "no-limiter", Evidence: []note.Note{note.Of("deviation-beyond-rated", note.Hz(limited.Value), note.Hz(rated))}}, true
}

func hintTransmitHum(f findings) (analyze.Hint, bool) {
	hum, ok := f.figure(job.KindTransmitHumNoise, job.FigureHumBelow)
	if !ok || !analyze.Under(hum, -humTroubles-8) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "transmit-hum", Evidence: []note.Note{note.Of("hum-below-modulation", note.DB(hum.Value))}}, true
}

func hintTransmitNoise(f findings) (analyze.Hint, bool) {
	noise, ok := f.figure(job.KindTransmitHumNoise, job.FigureNoiseBelow)
	if !ok || !analyze.Under(noise, 28) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "transmit-noise", Evidence: []note.Note{note.Of("noise-below-modulation", note.DB(noise.Value))}}, true
}

func hintModulator(f findings) (analyze.Hint, bool) {
	r, ok := f.result(job.KindTransmitDistortion)
	if !ok || !r.Get(analyze.THD).OK() {
		return analyze.Hint{}, false
	}
	even, odd := analyze.HarmonicsApart(r.Rows[0].Measured.Harmonics)
	if even < evenTroubles || even < 2*odd {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "modulator", Evidence: []note.Note{note.Of("even-and-odd", note.Percent(even), note.Percent(odd))}}, true
}
