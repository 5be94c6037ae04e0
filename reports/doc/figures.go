package doc

import (
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// figureNames are the figures of tests as people call them. Whoever adds a kind
// of test adds its figures; what is missing here is shown by its name in JSON.
var figureNames = map[string]string{
	job.QuantitySensitivity:              "sensitivity",
	job.QuantityQuieting:                 "quieting",
	job.QuantitySNN:                      "(S+N)/N",
	job.QuantityHumNoise:                 "hum and noise, below the audio",
	job.QuantityAudioPower:               "audio power",
	job.QuantityAttack:                   "squelch attack",
	job.QuantityClosing:                  "squelch closing",
	job.QuantityOpening:                  "SINAD at opening",
	job.QuantityDeviation:                "deviation",
	job.QuantityModulation:               "modulation depth",
	job.QuantityResponse:                 "most above the nominal response",
	job.QuantityResponse + analyze.Least: "most below the nominal response",
	analyze.Tilt:                         "tilt, 300 to 3000 Hz",
	analyze.Balance:                      "lowest band less highest",
	analyze.EdgeLow:                      "-3 dB, low",
	analyze.EdgeHigh:                     "-3 dB, high",
	analyze.ToneDeviation:                "deviation by the tone alone",
	analyze.LargerHalf:                   "larger half-wave",
	analyze.SmallerHalf:                  "smaller half-wave",
	analyze.Asymmetry:                    "asymmetry of the half-waves",
	analyze.InputFor60:                   "input for 60 % of rated",
	analyze.Limited:                      "deviation 20 dB above that",
	analyze.LimitGain:                    "largest deviation, of rated",
	analyze.Overshoot:                    "overshoot of the limiter",
	analyze.ToneDepth:                    "depth by the tone alone",
	analyze.DepthLarger:                  "larger half-wave",
	analyze.DepthLesser:                  "smaller half-wave",
	analyze.OpensAt:                      "opens at",
	analyze.ClosesAt:                     "closes at",
	analyze.Hysteresis:                   "hysteresis",
	analyze.Centre:                       "centre",
	analyze.Displacement:                 "displacement bandwidth",
	analyze.EvenCentre:                   "offset of least even harmonics",
	analyze.OffCentreLoss:                "SINAD lost at no offset",
	analyze.Rejection:                    "rejection",
	analyze.Leak:                         "tone with the generator down (SINAD)",
	analyze.HissLevel:                    "hiss",
	analyze.HissTilt:                     "tilt of the hiss",
	analyze.Tail:                         "tail",
	analyze.Opening:                      "time to open",
	analyze.Chatter:                      "chatter",
	analyze.QuietingPoint:                "RF level for 20 dB quieting",
	analyze.SignalNoisePoint:             "RF level for 10 dB (S+N)/N",
	analyze.RecoveredAudio:               "recovered audio",
	analyze.RecoveredVolts:               "recovered audio",
	analyze.HumBelow:                     "hum, below the audio",
	analyze.NoiseBelow:                   "noise, below the audio",
	analyze.OutputAtTen:                  "output at 10 % distortion",
	analyze.ClippingOnset:                "output at which clipping begins",
	analyze.LeastTHD:                     "least distortion",
	analyze.AudioDown:                    "audio against a strong signal",
	analyze.LimitingOneDB:                "RF level for audio 1 dB down",
	analyze.LimitingThree:                "RF level for audio 3 dB down",
	analyze.GainSixDB:                    "RF level for audio 6 dB down",
	analyze.GainSpread:                   "change of audio over the levels",
	analyze.GainMerit:                    "AGC figure of merit",
	analyze.EvenHarmonics:                "even harmonics",
	analyze.OddHarmonics:                 "odd harmonics",
}

// figureName is a figure as people call it.
func figureName(name string) string {
	if label, has := figureNames[name]; has {
		return label
	}
	if order, ok := strings.CutPrefix(name, analyze.HarmonicOf); ok {
		return "harmonic " + order
	}
	if hz, ok := strings.CutPrefix(name, analyze.HumAt); ok {
		return "hum at " + hz + " Hz, below the audio"
	}
	for _, s := range readings {
		if s.name == name {
			return s.label
		}
	}
	return strings.ReplaceAll(name, "_", " ")
}
