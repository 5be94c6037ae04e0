package hint

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

func hintNoPreEmphasis(f findings) (analyze.Hint, bool) {
	r, ok := f.result(job.KindTransmitResponse)
	if !ok || r.Response == nil || r.Response.How.Against != analyze.AgainstPreEmphasis || !analyze.Under(r.Get(job.FigureTilt), -slopeTroubles/2) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "bassy-transmit", Text: "Transmitted audio that does not rise as it should points to missing pre-emphasis, to a wrong or blocked microphone insert, or to a bypass capacitor that is too large.",
		Evidence: []string{fmt.Sprintf("tilt %+.1f dB an octave against pre-emphasis", r.Get(job.FigureTilt).Value)},
		First:    "the same with the test signal at the microphone socket and then into the insert: the difference is the microphone's",
		Also:     "a monitor whose de-emphasis was not taken out"}, true
}

func hintThinTransmit(f findings) (analyze.Hint, bool) {
	edge, ok := f.figure(job.KindTransmitResponse, job.FigureEdgeLow)
	if !ok || !analyze.Over(edge, cornerTroubles) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "thin-transmit", Text: "A low corner far above 300 Hz in transmitted audio points to a coupling capacitor that has dried out.",
		Evidence: []string{fmt.Sprintf("-3 dB at %.0f Hz", edge.Value)},
		First:    "the coupling capacitors of the microphone amplifier",
		Also:     "a high-pass on purpose against sub-audible tones"}, true
}

// deviationOver is how far above the rated deviation counts, in percent of it.
const deviationOver = 110

func hintOverDeviation(f findings) (analyze.Hint, bool) {
	share, ok := f.figure(job.KindLimiter, job.FigureLimitGain)
	if !ok || !analyze.Over(share, deviationOver) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "over-deviation", Text: "Deviation beyond the rated maximum points to a deviation control that is set too high.",
		Evidence: []string{fmt.Sprintf("largest deviation %.0f %% of the rated one", share.Value)},
		First:    "the deviation control, set with the input 20 dB above that for 60 %",
		Also:     "a limiter that was cut out; a reference whose deviation is not what its dial says"}, true
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
	return analyze.Hint{Name: "no-limiter", Text: "Deviation that goes on rising with the input points to a limiter that does not work.",
		Evidence: []string{fmt.Sprintf("deviation %.0f Hz with 20 dB more than for 60 %%, rated is %.0f Hz", limited.Value, rated)},
		First:    "the limiter's diodes or its amplifier's supply",
		Also:     "a deviation control that is set far too high"}, true
}

func hintTransmitHum(f findings) (analyze.Hint, bool) {
	hum, ok := f.figure(job.KindTransmitHumNoise, job.FigureHumBelow)
	if !ok || !analyze.Under(hum, -humTroubles-8) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "transmit-hum", Text: "Hum on the carrier points to the supply of the oscillator or of the microphone amplifier.",
		Evidence: []string{fmt.Sprintf("hum %.1f dB below standard modulation with the microphone shorted", hum.Value)},
		First:    "ripple at the oscillator's supply while it transmits; decoupling capacitors",
		Also:     "a bench supply that is loaded too far; the monitor's own hum"}, true
}

func hintTransmitNoise(f findings) (analyze.Hint, bool) {
	noise, ok := f.figure(job.KindTransmitHumNoise, job.FigureNoiseBelow)
	if !ok || !analyze.Under(noise, 28) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "transmit-noise", Text: "Hiss on the carrier with the microphone shorted points to the microphone amplifier, or to a noisy oscillator.",
		Evidence: []string{fmt.Sprintf("noise %.1f dB below standard modulation", noise.Value)},
		First:    "the microphone gain with the input shorted at the amplifier itself",
		Also:     "the monitor's own noise: record it with a generator's unmodulated carrier"}, true
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
	return analyze.Hint{Name: "modulator", Text: "Even harmonics in transmitted audio point to a modulator off its bias, or to a monitor off tune.",
		Evidence: []string{fmt.Sprintf("even harmonics %.1f %%, odd ones %.1f %%", even, odd)},
		First:    "the monitor's tuning: its own distortion from a generator; then the modulator's bias",
		Also:     "a carrier off its channel"}, true
}
