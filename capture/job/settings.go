package job

import (
	"fmt"
	"slices"
	"strings"

	"hisspoint/capture/unit"
)

// Keys that only some kinds take. Their values stay text, as typed; CheckSetting
// tells whether a value can be used, and the analysis reads it by the same parsers.
const (
	SettingSignal             = "signal"              // of a response: stepped, sweep, multitone, speech, auto
	SettingAgainst            = "against"             // flat, pre-emphasis, de-emphasis
	SettingMask               = "mask"                // name of a mask, or none
	SettingMonitorCurve       = "monitor_curve"       // flat, 750us, 6db-octave, or a file
	SettingKeyed              = "keyed"               // when the carrier came and went, in seconds: "1.0-3.0, 5.0-7.0"
	SettingKeyChannel         = "key_channel"         // channel that holds the keying: "2"
	SettingSquelch            = "squelch"             // threshold or tight
	SettingResidualFM         = "residual_fm"         // of the generator, RMS, 300 to 3000 Hz
	SettingInterferer         = "interferer"          // adjacent channel, blocking, intermodulation
	SettingInterfererOffset   = "interferer_offset"   // Hz from the wanted signal
	SettingEnd                = "end"                 // of a degradation: EndSINAD, EndPsophometric, EndDown
	SettingReferenceFile      = "reference_file"      // the monitor fed by a generator
	SettingReferenceTone      = "reference_tone"      // of that generator; as the test's tone if not typed
	SettingReferenceDeviation = "reference_deviation" // of that generator
	SettingReferenceDepth     = "reference_depth"     // of that generator
	SettingRatedDeviation     = "rated_deviation"     // the set's maximum
	SettingHighest            = "highest"             // carrier at the crest of the modulation, as read off a scope
	SettingLevelsChecked      = "levels_checked"      // yes: somebody looked, and the levels are as stated though a reading contradicts
	SettingLowest             = "lowest"              // carrier at its trough
)

// Masks of a response.
const (
	MaskLandMobile = "land-mobile" // +1/-3 dB from 300 to 3000 Hz around the line that the response is held against
	MaskNone       = "none"
)

// Ends of a degradation.
const (
	EndSINAD        = "12 dB SINAD"        // wanted 3 dB above the sensitivity (TIA-603, from memory)
	EndPsophometric = "14 dB psophometric" // wanted at the limit of the maximum usable sensitivity (EN 300 086, from memory)
	EndDown         = "6 dB down"          // wanted 3 dB above the sensitivity, to 6 dB SINAD: 6 dB below that (common practice, no source)
)

// Words that settings with a choice may hold.
var settingWords = map[string][]string{
	SettingSignal:        {"auto", "stepped", "sweep", "multitone", "speech"},
	SettingAgainst:       {"flat", "pre-emphasis", "de-emphasis"},
	SettingMask:          {MaskLandMobile, MaskNone},
	SettingSquelch:       {"threshold", "tight"},
	SettingEnd:           {EndSINAD, EndPsophometric, EndDown},
	SettingInterferer:    {"adjacent channel", "blocking", "intermodulation"},
	SettingLevelsChecked: {"yes"},
}

// SettingWords are the words that a setting may hold; nil if it is no choice.
func SettingWords(key string) []string { return slices.Clone(settingWords[key]) }

// Curves of a monitor receiver that have a name. Any other is a file.
var monitorCurves = []string{"flat", "750us", "6db-octave"}

// SettingIsFile tells whether a setting names a file in the job's folder.
func SettingIsFile(key, value string) bool {
	switch key {
	case SettingReferenceFile:
		return true
	case SettingMonitorCurve:
		return !slices.Contains(monitorCurves, strings.ToLower(strings.ReplaceAll(unit.Plain(value), " ", "")))
	}
	return false
}

// CheckSetting tells what is wrong with the value of a setting, nil if nothing is.
func CheckSetting(key, value string) error {
	if words := settingWords[key]; words != nil {
		if !slices.ContainsFunc(words, func(w string) bool { return strings.EqualFold(w, value) }) {
			return fmt.Errorf("%s %q is not known: use %s", key, value, strings.Join(words, ", "))
		}
		return nil
	}
	var err error
	switch key {
	case SettingInterfererOffset, SettingResidualFM, SettingReferenceDeviation, SettingRatedDeviation, SettingReferenceTone:
		_, err = unit.ParseFrequency(value)
	case SettingReferenceDepth:
		_, err = unit.ParsePercent(value)
	case SettingKeyed:
		_, err = ParseKeyed(value)
	case SettingKeyChannel, SettingHighest, SettingLowest:
		_, err = unit.ParseNumber(strings.TrimSpace(strings.TrimRight(value, "mV ")))
	}
	if err != nil {
		return fmt.Errorf("%s: %w", key, err)
	}
	return nil
}

// Span is a time from a to b in seconds.
type Span struct{ From, To float64 }

// ParseKeyed reads when a carrier came and went: "1.0-3.0, 5.0-7.0" in seconds
// from the start of the recording, in order and without overlap.
func ParseKeyed(s string) ([]Span, error) {
	var spans []Span
	fail := fmt.Errorf("times %q are not understood: write when the carrier came and went, in seconds: 1.0-3.0, 5.0-7.0", s)
	for _, part := range strings.Split(s, ", ") {
		from, to, ok := strings.Cut(strings.TrimSuffix(strings.TrimSpace(part), "s"), "-")
		if !ok {
			return nil, fail
		}
		a, errA := unit.ParseNumber(strings.TrimSpace(from))
		b, errB := unit.ParseNumber(strings.TrimSpace(to))
		if errA != nil || errB != nil || a < 0 || b <= a || len(spans) > 0 && a < spans[len(spans)-1].To {
			return nil, fail
		}
		spans = append(spans, Span{a, b})
	}
	return spans, nil
}
