package job

// Kinds of tests, as the job file names them.
const (
	KindSensitivity   = "sensitivity"
	KindQuieting      = "quieting"
	KindSignalNoise   = "signal_to_noise"
	KindHumNoise      = "hum_and_noise"
	KindDistortion    = "distortion"
	KindAudioPower    = "audio_power"
	KindResponse      = "response"
	KindLevelCurve    = "level_curve"
	KindSquelch       = "squelch"
	KindSquelchLevels = "squelch_levels"
	KindCentring      = "centring"
	KindDegradation   = "degradation"
	KindBenchFloor    = "bench_floor"
	KindLeakage       = "leakage"
	KindHiss          = "hiss"

	KindTransmitResponse   = "transmit_response"
	KindSpeechBalance      = "speech_balance"
	KindDeviation          = "deviation"
	KindLimiter            = "limiter"
	KindTransmitDistortion = "transmit_distortion"
	KindTransmitHumNoise   = "transmit_hum_and_noise"
	KindModulationDepth    = "modulation_depth"
)

// kinds is the table of kinds of tests, in the usual order of a round.
var kinds = []Kind{
	{Name: KindBenchFloor, Title: "bench floor", Single: true,
		Sketch:  "bench_floor: {file: floor.wav}",
		Holds:   HoldsSilence,
		OfBench: true,
		NoCard:  true,
		Short:   true,
		Words:   []string{"floor", "bench"},
		Prompt:  "set on, its volume at zero; all cables as for the other tests"},
	{Name: KindLeakage, Title: "leakage", Single: true,
		Sketch:  "leakage: {file: leakage.wav}",
		Holds:   HoldsLeak,
		OfBench: true,
		NoCard:  true,
		Words:   []string{"leak"},
		Prompt:  "generator's output all the way down, modulation on, its cable off the set and ended in a load; squelch open, volume as before"},
	{Name: KindHiss, Title: "open-squelch hiss", Single: true,
		Sketch: "hiss: {file: hiss.wav}",
		Holds:  HoldsSilence,
		Words:  []string{"hiss"},
		Prompt: "no signal, squelch open, volume as before"},
	{Name: KindSensitivity, Title: "sensitivity", Axis: AxisLevel, Limits: []string{QuantitySensitivity},
		Sketch: "sensitivity: {recordings: [{level: 1 uV, file: rx-1uV.wav}, {level: 0.5 uV, file: rx-0.5uV.wav}]}",
		Holds:  HoldsTone,
		Rises:  true,
		Short:  true,
		Plan: map[string]string{
			"":  "{criterion: sinad 12 dB, tone: 1 kHz}", // its levels show at the bench
			AM:  "{criterion: sn_n 10 dB, tone: 1 kHz, depth: 30 %}",
			SSB: "{criterion: sn_n 10 dB, tone: 1 kHz}"},
		Words: []string{"sensitiv"}},
	{Name: KindQuieting, Title: "quieting", States: true, Single: true, Limits: []string{QuantityQuieting}, Modes: []string{FM},
		Sketch: "quieting: {file: quieting.wav, parts: [off, 0.5 uV carrier, 0.5 uV modulated, off]}",
		HeldAt: StateCarrier,
		Short:  true,
		Words:  []string{"quiet"}},
	{Name: KindSignalNoise, Title: "(S+N)/N", States: true, Single: true, Limits: []string{QuantitySNN}, Modes: []string{AM, SSB},
		Sketch: "signal_to_noise: {recordings: [{part: 1 uV modulated, file: 1uV.wav}, {part: 1 uV carrier, file: 1uV_nomod.wav}]}",
		HeldAt: StateModulated,
		Short:  true,
		Plan: map[string]string{
			"":  "{parts: [1 uV modulated, 1 uV carrier]}",
			AM:  "{depth: 30 %, parts: [1 uV modulated, 1 uV carrier]}",
			SSB: "{recordings: [{part: 0.5 uV modulated}]}"}, // measured within one recording
		Words: []string{"snr", "sn"}},
	{Name: KindHumNoise, Title: "hum and noise", States: true, Single: true, Limits: []string{QuantityHumNoise}, Modes: []string{FM, AM},
		Settings: []string{SettingResidualFM},
		Sketch:   "hum_and_noise: {file: hum.wav, parts: [1 mV modulated, 1 mV carrier]}",
		HeldAt:   StateModulated,
		Short:    true,
		Plan:     map[string]string{AM: "{depth: 30 %, parts: [1 mV modulated, 1 mV carrier]}"},
		Words:    []string{"hum"}},
	{Name: KindDistortion, Title: "distortion", Single: true, Limits: []string{QuantityDistortion, QuantitySINAD, QuantitySNR},
		Sketch: "distortion: {level: 1 mV, file: strong.wav}",
		Holds:  HoldsTone,
		HeldAt: AllStates,
		Plan:   map[string]string{AM: "{depth: 30 %, level: 1 mV}"},
		Words:  []string{"thd", "distort", "strong"}},
	{Name: KindAudioPower, Title: "audio power", Axis: AxisVolume, Single: true, Limits: []string{QuantityAudioPower},
		Sketch: "audio_power: {level: 1 mV, file: volume.wav, volumes: [min, \"1/4\", \"1/2\", \"3/4\", max]}",
		Holds:  HoldsTone,
		Words:  []string{"vol", "power"},
		Prompt: "squelch open; the volume control as told"},
	{Name: KindResponse, Title: "audio response", Axis: AxisTone, Single: true, Limits: []string{QuantityResponse},
		Settings: []string{SettingSignal, SettingAgainst, SettingMask},
		Sketch:   "response: {level: 1 mV, file: tones.wav, signal: stepped, against: de-emphasis}",
		Plan:     map[string]string{AM: "{level: 1 mV, signal: stepped}", SSB: "{level: 1 mV, signal: stepped}"},
		Words:    []string{"tones", "response", "sweep"}},
	{Name: KindLevelCurve, Title: "audio against level", Axis: AxisLevel,
		Sketch: "level_curve: {file: curve.wav, levels: [1 mV, 100 uV, 10 uV, 1 uV]}",
		Holds:  HoldsTone,
		Rises:  true,
		HeldAt: AllStates, // against the audio of that level
		Words:  []string{"curve"}},
	{Name: KindSquelch, Title: "squelch in time", Single: true, Limits: []string{QuantityClosing, QuantityAttack},
		Settings: []string{SettingKeyed, SettingKeyChannel},
		Sketch:   "squelch: {level: 1 uV, file: keyed.wav}",
		HeldAt:   AllStates, // tails are longer, and openings slower, with a weak signal
		NoCard:   true,
		Short:    true,
		Words:    []string{"squelch", "keyed"},
		Prompt:   "squelch at its threshold; switch the carrier on and off some times while it records"},
	{Name: KindSquelchLevels, Title: "squelch opening and closing", Axis: AxisLevel, Limits: []string{QuantityOpening},
		Settings: []string{SettingSquelch},
		Sketch:   "squelch_levels: {squelch: threshold, file: steps.wav, levels: [0.1 uV, 0.2 uV, 0.4 uV, 0.2 uV, 0.1 uV]}",
		Each:     SettingSquelch,
		Words:    []string{"opening", "closing", "threshold", "tight"},
		Prompt:   "squelch as the test says; the level as told"},
	{Name: KindCentring, Title: "centring", Axis: AxisOffset, Modes: []string{FM, AM},
		Sketch: "centring: {level: 1 uV, recordings: [{offset: -2 kHz, file: low.wav}, {offset: 0 Hz, file: mid.wav}, {offset: 2 kHz, file: high.wav}]}",
		Holds:  HoldsTone,
		HeldAt: AllStates,
		Plan:   map[string]string{"": "{level: 1 uV, recordings: [{offset: -2 kHz}, {offset: -1 kHz}, {offset: 0 Hz}, {offset: 1 kHz}, {offset: 2 kHz}]}"},
		Words:  []string{"centr", "center", "offset", "detun"}},
	{Name: KindDegradation, Title: "degradation by a second signal", Axis: AxisLevel,
		Settings: []string{SettingInterferer, SettingInterfererOffset},
		Sketch:   "degradation: {level: 0.7 uV, interferer: adjacent channel, interferer_offset: 12.5 kHz, recordings: [{level: 1 mV, file: a.wav}, {level: 3 mV, file: b.wav}]}",
		Holds:    HoldsTone,
		Plan:     map[string]string{"": "{level: 1 uV, interferer: adjacent channel, interferer_offset: 12.5 kHz, recordings: [{level: 0.1 mV}, {level: 0.3 mV}, {level: 1 mV}, {level: 3 mV}]}"},
		Words:    []string{"adjacent", "block", "intermod", "degrad"}},

	{Name: KindTransmitResponse, Title: "transmit audio response", Axis: AxisTone, Single: true, Transmit: true, Limits: []string{QuantityResponse},
		Settings: []string{SettingSignal, SettingAgainst, SettingMask, SettingMonitorCurve},
		Sketch:   "transmit_response: {file: tx-tones.wav, signal: stepped, against: pre-emphasis, monitor_curve: 750us}",
		Plan:     map[string]string{AM: "{signal: stepped}", SSB: "{signal: stepped}"},
		Words:    []string{"tones", "response", "sweep"}},
	{Name: KindSpeechBalance, Title: "speech balance", Single: true, Transmit: true,
		Settings: []string{SettingMonitorCurve, SettingAgainst, SettingSignal},
		Sketch:   "speech_balance: {file: tx-speech.wav, monitor_curve: 750us}",
		Holds:    HoldsSpeech,
		Plan:     map[string]string{AM: "{}", SSB: "{}"},
		Words:    []string{"speech", "voice"}},
	{Name: KindDeviation, Title: "deviation", Single: true, Transmit: true, Limits: []string{QuantityDeviation}, Modes: []string{FM},
		Settings: []string{SettingReferenceFile, SettingReferenceDeviation, SettingMonitorCurve, SettingReferenceTone},
		Sketch:   "deviation: {file: tx-1kHz.wav, reference_file: monitor-2kHz.wav, reference_deviation: 2 kHz, monitor_curve: flat}",
		Needs:    [][]string{{SettingReferenceFile, SettingReferenceDeviation}},
		Holds:    HoldsTone,
		Plan:     map[string]string{"": "{reference_deviation: 2 kHz}"},
		Words:    []string{"dev"}},
	{Name: KindLimiter, Title: "limiter and microphone gain", Axis: AxisInput, Transmit: true, Limits: []string{QuantityDeviation}, Modes: []string{FM},
		Settings: []string{SettingReferenceFile, SettingReferenceDeviation, SettingRatedDeviation, SettingMonitorCurve, SettingReferenceTone},
		Sketch:   "limiter: {rated_deviation: 2.5 kHz, file: tx-steps.wav, inputs: [1 mV, 3 mV, 10 mV, 30 mV], reference_file: monitor-2kHz.wav, reference_deviation: 2 kHz}",
		Needs:    [][]string{{SettingReferenceFile, SettingReferenceDeviation}},
		Holds:    HoldsTone,
		Plan:     map[string]string{"": "{inputs: [1 mV, 3 mV, 10 mV, 30 mV], reference_deviation: 2 kHz}"},
		Words:    []string{"limit"}},
	{Name: KindTransmitDistortion, Title: "transmit distortion", Single: true, Transmit: true, Limits: []string{QuantityDistortion},
		Sketch: "transmit_distortion: {file: tx-1kHz.wav}",
		Holds:  HoldsTone,
		Words:  []string{"thd", "distort"}},
	{Name: KindTransmitHumNoise, Title: "transmit hum and noise", States: true, Single: true, Transmit: true, Limits: []string{QuantityHumNoise}, Modes: []string{FM, AM},
		Sketch: "transmit_hum_and_noise: {recordings: [{part: modulated, file: tx-1kHz.wav}, {part: carrier, file: tx-shorted.wav}]}",
		Plan:   map[string]string{"": "{parts: [modulated, carrier]}"},
		Words:  []string{"hum", "short"}},
	{Name: KindModulationDepth, Title: "modulation depth", Single: true, Transmit: true, Limits: []string{QuantityModulation}, Modes: []string{AM},
		Settings: []string{SettingReferenceFile, SettingReferenceDepth, SettingHighest, SettingLowest},
		Sketch:   "modulation_depth: {file: tx-1kHz.wav, reference_file: monitor-30.wav, reference_depth: 30 %}",
		Needs:    [][]string{{SettingReferenceFile, SettingReferenceDepth}, {SettingHighest, SettingLowest}},
		ByEye:    []string{SettingHighest, SettingLowest},
		Holds:    HoldsTone,
		Plan:     map[string]string{AM: "{reference_depth: 30 %}"},
		Words:    []string{"depth"}},
}
