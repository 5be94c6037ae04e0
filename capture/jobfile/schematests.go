package jobfile

import (
	"bytes"
	"encoding/json"
	"slices"

	"hisspoint/capture/job"
)

// object is a JSON object that keeps the order of its keys.
type object []member

type member struct {
	key   string
	value any
}

// MarshalJSON writes the members in their order.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		for j, part := range []any{m.key, m.value} {
			e := json.NewEncoder(&b)
			e.SetEscapeHTML(false)
			if err := e.Encode(part); err != nil {
				return nil, err
			}
			if j == 0 {
				b.WriteByte(':')
			}
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

var (
	textType   = []string{"string", "number", "boolean"}
	numberType = []string{"number", "string"}
)

func describedText(about, example string) object {
	o := object{{"type", textType}, {"description", about}}
	if example != "" {
		o = append(o, member{"examples", []string{example}})
	}
	return o
}

func describedNumber(about string, example float64) object {
	return object{{"type", numberType}, {"description", about}, {"examples", []float64{example}}}
}

func described(typ, about string, more ...member) object {
	return append(object{{"type", typ}, {"description", about}}, more...)
}

func closed(about string, properties object, required ...string) object {
	o := described("object", about, member{"additionalProperties", false}, member{"properties", properties})
	if len(required) > 0 {
		o = append(o, member{"required", required})
	}
	return o
}

func schemaOfTests() object {
	var kinds object
	for _, k := range job.Kinds() {
		kinds = append(kinds, member{k.Name, schemaOfKind(k)})
	}
	return append(closed("One test: a single key that names its kind.", kinds), member{"minProperties", 1}, member{"maxProperties", 1})
}

func schemaOfKind(k job.Kind) object {
	var properties object
	for _, key := range k.Keys() {
		properties = append(properties, member{key, schemaOfKey(k, key)})
	}
	o := closed(titled(k), properties)
	o[0].value = []string{"object", "null"}
	return o
}

// titled says what a kind is and how it is written.
func titled(k job.Kind) string { return k.Title + ", as in: " + k.Sketch }

// keyTexts describes the keys that several kinds take, with an example.
var keyTexts = map[string][2]string{
	job.KeyName:      {"Tells tests of one kind in a round apart.", "speaker socket"},
	job.KeyCriterion: {"sinad, quieting or sn_n with its figure. Left out: sinad 12 dB.", "sinad 12 dB"},
	job.KeyTone:      {"Modulating tone. Left out: 1 kHz.", "1 kHz"},
	job.KeyDeviation: {"Deviation of the standard modulation (FM).", "1.5 kHz"},
	job.KeyDepth:     {"Depth of the standard modulation (AM).", "30 %"},
	job.KeyFilter:    {"speech-band, psophometric, c-message, a-weighting, wide or a band such as 300-3000. Left out: speech-band.", "speech-band"},
	job.KeyLevel:     {"RF level set on the generator, before pad and cable; off for no signal.", "1 mV"},
	job.KeyFile:      {"Sound file, named from the job's folder. Left out: not recorded yet.", "rx-1uV.wav"},
	job.KeyLimit:     {"Limit and where it comes from.", "5 %, service manual"},
	job.KeyNote:      {"Anything else that is to be said of it.", ""},
	job.KeyPart:      {"What is recorded: off, carrier or modulated, with the level before it where there is one.", "0.5 uV carrier"},
	job.AxisOffset:   {"Offset of the generator from the nominal frequency.", "-2 kHz"},
	job.AxisVolume:   {"Setting of the volume control.", "1/2"},
	job.AxisInput:    {"Audio at the microphone socket, RMS, or in dB.", "10 mV"},

	job.SettingMask:               {"Name of a mask, or none.", "none"},
	job.SettingMonitorCurve:       {"Response of the monitor receiver: flat, 750us, 6db-octave, or a file.", "750us"},
	job.SettingKeyed:              {"When the carrier came and went, in seconds.", "1.0-3.0, 5.0-7.0"},
	job.SettingKeyChannel:         {"Channel of the file that holds the keying.", "2"},
	job.SettingResidualFM:         {"Residual FM of the generator, RMS from 300 to 3000 Hz, from its data sheet: no set reads better.", "10 Hz"},
	job.SettingInterfererOffset:   {"Frequency of the second signal from the wanted one.", "12.5 kHz"},
	job.SettingReferenceFile:      {"Recording of the monitor fed by a generator.", "monitor-2kHz.wav"},
	job.SettingReferenceTone:      {"Tone of that generator. Left out: the tone of the test.", "1 kHz"},
	job.SettingReferenceDeviation: {"Deviation of that generator.", "2 kHz"},
	job.SettingReferenceDepth:     {"Modulation of that generator.", "30 %"},
	job.SettingRatedDeviation:     {"The set's maximum deviation.", "2.5 kHz"},
	job.SettingHighest:            {"Carrier at the crest of the modulation, as read off a scope.", "3.0"},
	job.SettingLowest:             {"Carrier at its trough, as read off a scope.", "1.0"},
	job.SettingSignal:             {"What was fed in.", ""},
	job.SettingAgainst:            {"What the response is compared with.", ""},
	job.SettingSquelch:            {"How the squelch was set.", ""},
	job.SettingInterferer:         {"Kind of the second signal.", ""},
	job.SettingEnd:                {"What ends the degradation; 12 dB SINAD where it is left out.", ""},
}

func schemaOfKey(k job.Kind, key string) object {
	switch key {
	case job.KeyFrom:
		return describedNumber("Use the file from this second on.", 1.5)
	case job.KeyTo:
		return describedNumber("Use the file up to this second.", 6)
	case job.KeyVolts:
		return describedNumber("RMS volts at the set's output, read with a meter while it was recorded. One in a round calibrates its levels.", 1.2)
	case k.AxisKey():
		single := key[:len(key)-1]
		return described("array", "What the one file holds, in its order.", member{"items", describedText(keyTexts[single][0], keyTexts[single][1])})
	case job.KeyRecordings:
		var properties object
		for _, key := range k.TakeKeys() {
			properties = append(properties, member{key, schemaOfKey(k, key)})
		}
		return described("array", "The recordings, one file each; instead of file.", member{"items", closed("One recording.", properties, k.TakeKeys()[0])})
	case job.KeyLimits:
		var properties object
		for _, q := range k.Limits {
			properties = append(properties, member{q, describedText("Limit of "+q+" and where it comes from.", "")})
		}
		return closed("Limits by what they bound, where there are several.", properties)
	case job.KeyUncertainty:
		return described("array", "Contributions to the uncertainty that nothing else of the job states.", member{"items", closed("One contribution.", object{
			{"what", describedText("What it is.", "cable at the bench")},
			{"db", describedNumber("Its figure in dB: a half-width, or what the distribution says.", 0.3)},
			{"distribution", described("string", "rectangular and u-shaped: half-width; normal: expanded, k = 2; standard: standard uncertainty. Left out: rectangular.", member{"enum", job.Distributions})},
		}, "what", "db")})
	}
	about := keyTexts[key]
	if words := job.SettingWords(key); words != nil && slices.Contains(k.Settings, key) {
		return described("string", about[0], member{"enum", words})
	}
	return describedText(about[0], about[1])
}
