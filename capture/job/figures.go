package job

import (
	"slices"

	"hisspoint/capture/unit"
)

// FigureRow is what the program knows of a figure that kinds of tests give.
type FigureRow struct {
	Name    string   // in JSON and in limits: "hum_and_noise"
	Label   string   // for people: "hum and noise, below the audio"
	Free    bool     // it depends on no level, though the figures of its kind hold for one (see Kind.HeldAt)
	Span    bool     // it holds between the strongest and the weakest level of a list
	Stepped bool     // its interval is the step between the levels of a list
	Clips   bool     // a sound card that clips can only make it worse: a pass stands, a fail does not
	Limit   *bounded // how a limit of it is written; nil: it has none
}

// Figures that a limit may bound.
const (
	QuantitySensitivity = "sensitivity"
	QuantityDistortion  = "thd"
	QuantityHumNoise    = "hum_and_noise"
	QuantitySNR         = "snr"
	QuantityDeviation   = "deviation" // of a limiter's test: the largest at any input
	QuantityModulation  = "modulation"
	QuantityAudioPower  = "audio_power"
	QuantityAttack      = "squelch_attack"  // ms
	QuantityClosing     = "squelch_closing" // ms
	QuantityOpening     = "squelch_opening"
	QuantityResponse    = "response_deviation"
)

// FigureLeast behind a figure's name is the figure on its other side, for limits of
// the kind "at least": the least of a response beside the most.
const FigureLeast = "_least"

// Figures that no limit bounds.
const (
	FigureLeak = "leak" // by how many dB a tone stands out that should not be heard at all

	FigureHissLevel = "hiss_level" // through the filter, dBFS
	FigureHissTilt  = "hiss_tilt"  // of its density from 300 to 3000 Hz, dB an octave

	FigureQuietingPoint    = "quieting_point"        // RF level at which the carrier lowers the hiss by 20 dB
	FigureQuietingNoise    = "quieting_noise"        // quieting of the noise alone, hum left out, dB
	FigureRecoveredAudio   = "recovered_audio"       // tone of the standard modulation, dBFS
	FigureRecoveredVolts   = "recovered_audio_volts" // the same in volts, with calibration
	FigureSignalNoisePoint = "sn_n_point"            // RF level at which (S+N)/N reaches 10 dB

	FigureHumBelow      = "hum_below_audio"   // the hum of hum and noise, dB
	FigureNoiseBelow    = "noise_below_audio" // its noise, dB, through the filter
	FigureEvenHarmonics = "even_harmonics"    // root-sum-square of the even harmonics, percent of the fundamental
	FigureOddHarmonics  = "odd_harmonics"     // that of the odd ones

	FigureOutputAtTen   = "output_at_10_percent" // RMS output at 10 % distortion: V, or dBFS without calibration
	FigureClippingOnset = "clipping_onset"       // output at which the set begins to clip: W, V or dBFS
	FigureLeastTHD      = "least_thd"            // the lowest distortion of all volumes, percent

	FigureMask     = "mask"          // the deviation furthest out of a mask, or nearest to its bounds, dB
	FigureTilt     = "tilt"          // of a response from 300 to 3000 Hz, dB an octave
	FigureBalance  = "low_less_high" // its lowest band less its highest, dB
	FigureEdgeLow  = "edge_low"      // where it is 3 dB down below, Hz
	FigureEdgeHigh = "edge_high"     // and above, Hz

	FigureAudioDown     = "audio_down"    // dB: the audio at a level against that of a strong signal
	FigureLimitingOneDB = "limiting_1_db" // FM: RF level at which the audio is 1 dB down
	FigureLimitingThree = "limiting_3_db" // FM: and 3 dB
	FigureGainSixDB     = "agc_6_db"      // AM, SSB: RF level at which the audio is 6 dB down
	FigureGainSpread    = "agc_audio"     // dB: the audio's change between the strongest and the weakest level
	FigureGainMerit     = "agc_merit"     // dB of RF for one dB of audio, between these

	FigureTail    = "tail"    // of one opening: from the moment the signal goes to the mute, ms
	FigureOpening = "opening" // of one opening: from the signal's coming to 90 % of the audio's final level, ms
	FigureChatter = "chatter" // openings that follow a closing within 0.2 s, a count

	FigureOpensAt    = "opens_at"   // level at the set at which the squelch opens
	FigureClosesAt   = "closes_at"  // level at the set at which it closes
	FigureHysteresis = "hysteresis" // the one less the other, dB

	FigureCentre        = "centre"          // offset midway between those at which SINAD has fallen, Hz
	FigureDisplacement  = "displacement"    // the smaller of these two offsets, Hz
	FigureEvenCentre    = "even_centre"     // offset at which the even harmonics are least, Hz
	FigureOffCentreLoss = "off_centre_loss" // SINAD at the best offset less that at none, dB

	FigureRejection = "rejection" // by how many dB the interfering signal stands above the sensitivity where it degrades the wanted one

	FigureToneDeviation = "tone_deviation" // peak deviation by the fundamental alone, Hz
	FigureLargerHalf    = "larger_half"    // peak deviation of the half-wave that goes further, Hz
	FigureSmallerHalf   = "smaller_half"   // and of the other, Hz
	FigureAsymmetry     = "asymmetry"      // the difference of the halves over their sum, %

	FigureInputFor60 = "input_for_60_percent" // audio at the microphone socket for 60 % of the rated deviation, dB above 1 mV or as typed
	FigureLimited    = "deviation_20_db_up"   // at an input 20 dB above that, Hz
	FigureLimitGain  = "of_rated"             // the largest deviation, % of the rated one
	FigureOvershoot  = "attack_overshoot"     // highest peak after an upward step over the settled one, dB

	FigureToneDepth   = "tone_depth"         // of the fundamental alone, %
	FigureDepthLarger = "larger_half_depth"  // of the half-wave that goes further, %
	FigureDepthLesser = "smaller_half_depth" // and of the other, %
)

// figures is the table of figures. Limits are kept in the unit of their figure: times
// in ms, deviation in Hz.
var figures = []FigureRow{
	{Name: QuantitySensitivity, Label: "sensitivity", Limit: &bounded{name: "sensitivity", unit: "dBm", bound: AtMost, example: "0.5 uV PD"}},
	{Name: FigureLeak, Label: "tone with the generator down (SINAD)"},
	{Name: FigureHissLevel, Label: "hiss"},
	{Name: FigureHissTilt, Label: "tilt of the hiss"},

	{Name: QuantityQuieting, Label: "quieting", Limit: &bounded{"quieting", "dB", AtLeast, unit.ParseDB, "20 dB"}},
	{Name: FigureQuietingNoise, Label: "quieting of the noise alone"},
	{Name: FigureQuietingPoint, Label: "RF level for 20 dB quieting", Free: true},
	{Name: FigureRecoveredAudio, Label: "recovered audio"},
	{Name: FigureRecoveredVolts, Label: "recovered audio, in volts"},
	{Name: QuantitySNN, Label: "(S+N)/N", Clips: true, Limit: &bounded{"(S+N)/N", "dB", AtLeast, unit.ParseDB, "10 dB"}},
	{Name: FigureSignalNoisePoint, Label: "RF level for 10 dB (S+N)/N", Free: true},

	{Name: QuantityHumNoise, Label: "hum and noise, below the audio", Clips: true, Limit: &bounded{"hum and noise", "dB", AtLeast, unit.ParseDB, "40 dB"}},
	{Name: FigureHumBelow, Label: "hum, below the audio"},
	{Name: FigureNoiseBelow, Label: "noise, below the audio"},
	{Name: QuantityDistortion, Label: "distortion (THD)", Clips: true, Limit: &bounded{"distortion", "%", AtMost, unit.ParsePercent, "5 %"}},
	{Name: QuantitySINAD, Label: "SINAD", Clips: true, Limit: &bounded{"SINAD", "dB", AtLeast, unit.ParseDB, "20 dB"}},
	{Name: QuantitySNR, Label: "S/N", Limit: &bounded{"signal to noise", "dB", AtLeast, unit.ParseDB, "40 dB"}},
	{Name: FigureEvenHarmonics, Label: "even harmonics"},
	{Name: FigureOddHarmonics, Label: "odd harmonics"},

	{Name: QuantityAudioPower, Label: "audio power", Limit: &bounded{"audio power", "W", AtLeast, parseWatts, "2 W"}},
	{Name: FigureOutputAtTen, Label: "output at 10 % distortion"},
	{Name: FigureClippingOnset, Label: "output at which clipping begins"},
	{Name: FigureLeastTHD, Label: "least distortion"},

	{Name: QuantityResponse, Label: "most above the nominal response", Limit: &bounded{"deviation from the nominal response", "dB", AtMost, unit.ParseDB, "1 dB"}},
	{Name: QuantityResponse + FigureLeast, Label: "most below the nominal response"},
	{Name: FigureMask, Label: "worst point against the mask"},
	{Name: FigureTilt, Label: "tilt, 300 to 3000 Hz"},
	{Name: FigureBalance, Label: "low tones against high tones"},
	{Name: FigureEdgeLow, Label: "-3 dB, low"},
	{Name: FigureEdgeHigh, Label: "-3 dB, high"},

	{Name: FigureAudioDown, Label: "audio against a strong signal"},
	{Name: FigureLimitingOneDB, Label: "RF level for audio 1 dB down"},
	{Name: FigureLimitingThree, Label: "RF level for audio 3 dB down"},
	{Name: FigureGainSixDB, Label: "RF level for audio 6 dB down"},
	{Name: FigureGainSpread, Label: "change of audio over the levels", Span: true},
	{Name: FigureGainMerit, Label: "AGC figure of merit", Span: true},

	{Name: QuantityAttack, Label: "squelch attack", Limit: &bounded{"squelch attack time", "ms", AtMost, parseMilliseconds, "150 ms"}},
	{Name: QuantityClosing, Label: "squelch closing", Limit: &bounded{"squelch closing time", "ms", AtMost, parseMilliseconds, "250 ms"}},
	{Name: FigureTail, Label: "tail"},
	{Name: FigureOpening, Label: "time to open"},
	{Name: FigureChatter, Label: "chatter"},
	{Name: QuantityOpening, Label: "SINAD at opening", Limit: &bounded{"SINAD at squelch opening", "dB", AtMost, unit.ParseDB, "10 dB"}},
	{Name: FigureOpensAt, Label: "opens at", Stepped: true},
	{Name: FigureClosesAt, Label: "closes at", Stepped: true},
	{Name: FigureHysteresis, Label: "hysteresis"},

	{Name: FigureCentre, Label: "centre", Free: true},
	{Name: FigureDisplacement, Label: "displacement bandwidth"},
	{Name: FigureEvenCentre, Label: "offset of least even harmonics", Free: true},
	{Name: FigureOffCentreLoss, Label: "SINAD lost at no offset"},
	{Name: FigureRejection, Label: "rejection"},

	{Name: QuantityDeviation, Label: "deviation", Limit: &bounded{"deviation", "Hz", AtMost, unit.ParseFrequency, "2.5 kHz"}},
	{Name: FigureToneDeviation, Label: "deviation by the tone alone"},
	{Name: FigureLargerHalf, Label: "larger half-wave"},
	{Name: FigureSmallerHalf, Label: "smaller half-wave"},
	{Name: FigureAsymmetry, Label: "asymmetry of the half-waves"},
	{Name: FigureInputFor60, Label: "input for 60 % of rated"},
	{Name: FigureLimited, Label: "deviation 20 dB above that"},
	{Name: FigureLimitGain, Label: "largest deviation, of rated"},
	{Name: FigureOvershoot, Label: "overshoot of the limiter"},
	{Name: QuantityModulation, Label: "modulation depth", Limit: &bounded{"modulation", "%", AtMost, unit.ParsePercent, "100 %"}},
	{Name: FigureToneDepth, Label: "depth by the tone alone"},
	{Name: FigureDepthLarger, Label: "depth of the larger half-wave"},
	{Name: FigureDepthLesser, Label: "depth of the smaller half-wave"},
}

// FigureOf finds a figure by its name.
func FigureOf(name string) (FigureRow, bool) {
	return find(figures, func(f FigureRow) bool { return f.Name == name })
}

// Better tells which way a figure is better: 1 more, -1 less, 0 neither. A sensitivity's
// change counts more sensitive as more.
func Better(figure string) float64 {
	switch figure {
	case QuantitySensitivity:
		return 1
	case QuantityDeviation, QuantityModulation, QuantityOpening:
		return 0
	}
	f, _ := FigureOf(figure)
	switch {
	case f.Limit == nil:
		return 0
	case f.Limit.bound == AtLeast:
		return 1
	}
	return -1
}

// LabelOf is a figure as people call it, "" if the table has none of that name.
func LabelOf(name string) string {
	f, _ := FigureOf(name)
	return f.Label
}

// BoundedQuantities lists the figures that a limit may bound, sorted.
func BoundedQuantities() []string {
	var names []string
	for _, f := range figures {
		if f.Limit != nil {
			names = append(names, f.Name)
		}
	}
	slices.Sort(names)
	return names
}
