package sentence

import (
	"cmp"
	"slices"
)

// Hint is a row of the table of hints: what figures point to, what to check first, and
// what else could explain them.
type Hint struct {
	Name              string
	Text, First, Also string
}

// HintSource is where the rules of hints are from: what shows in the audio when
// something is wrong is known at the bench and in no standard.
const HintSource = "common practice, no source"

// HintOf is the row of a hint.
func HintOf(name, as string) Hint {
	name = cmp.Or(as, name)
	if i := slices.IndexFunc(Hints, func(h Hint) bool { return h.Name == name }); i >= 0 {
		return Hints[i]
	}
	return Hint{Name: name}
}

// Hints are all hints there are.
var Hints = []Hint{
	{"reservoir",
		"Hum at twice the mains frequency points to the supply's reservoir capacitor or rectifier.",
		"ripple on the supply under load, with a scope; the reservoir capacitor's capacitance and ESR",
		"a bench supply that is loaded too far, a regulator that drops out, or a ground loop, if it stays " +
			"with the volume at zero"},
	{"pick-up",
		"Hum at the mains frequency itself points to pick-up, or to a rectifier of which one half works.",
		"screens and earths of the audio wiring, then the rectifier",
		"a ground loop through the sound card: record the bench floor with the volume at zero"},
	{"ground-loop",
		"Hum at the mains frequency that stays with the volume at zero does not come through the receiver: a " +
			"ground loop through the sound card, or pick-up in the output wiring.",
		"an isolating transformer between set and sound card, or the laptop on its battery",
		"hum in the audio output stage behind the volume control, or a rectifier of which one half works"},
	{"leak",
		"The generator is heard past its cable, so low levels at the set are higher than the dial says.",
		"connectors and screens of cable and pad, lids of the generator, distance between generator and set",
		"another transmitter on the channel that carries the same tone"},
	{"amplifier-noise",
		"Noise that stays with the volume at zero comes from the audio amplifier, not from the receiver.",
		"the audio amplifier's first stage and its supply decoupling",
		"a sound card input that is set too sensitive, or a microphone input: record with nothing connected"},
	{"front-end",
		"The set is deaf, but clean once the signal is strong: loss before the first amplifier, rather than trouble behind it.",
		"aerial socket, input filter, first transistor and its alignment",
		"loss in the bench's own cable or pad, or a level in EMF taken for PD (6 dB)"},
	{"oscillator-noise",
		"The set is sensitive, but a strong signal stays noisy: noise of an oscillator.",
		"the generator's residual FM, with another generator or set; then the set's synthesiser and its supply",
		"a noisy audio amplifier: record the bench floor with the volume at zero"},
	{"detector",
		"Even harmonics together with an offset point to a detector, or an IF filter, that is off its " +
			"middle, or to a set off frequency.",
		"the set's frequency on the channel, then the detector's coil, by the DC at the detector and by least distortion",
		"a generator off frequency"},
	{"clipping",
		"Odd harmonics at the volume of the test point to clipping in the audio stages, or to an IF filter " +
			"too narrow for the deviation.",
		"the same recording with the volume down by half: clipping goes, a narrow filter stays; then with less deviation",
		"a recording that is overdriven in the sound card"},
	{"clipping-of-one-half",
		"Odd and even harmonics at the volume of the test point to unsymmetrical clipping: one half of the " +
			"output stage gives up first.",
		"the DC at the output stage's middle, and the same recording with the volume down by half",
		"a recording that is overdriven in the sound card"},
	{"crossover",
		"Distortion that rises as the volume falls points to crossover distortion: too little quiescent " +
			"current in the output stage.",
		"the output stage's quiescent current",
		"a worn volume control"},
	{"coupling-capacitor",
		"A low corner far above 300 Hz points to a coupling capacitor that has dried out.",
		"the coupling capacitors from the detector to the speaker, against new ones held across them",
		"a small speaker or load in place of the resistor, or a high-pass on purpose against sub-audible tones"},
	{"no-de-emphasis",
		"Audio that does not fall as it should points to de-emphasis that is missing.",
		"the de-emphasis capacitor behind the detector",
		"a generator with pre-emphasis switched on, or a recording at the detector itself"},
	{"double-de-emphasis",
		"Audio that falls too steeply points to de-emphasis twice, or to a capacitor across the audio that is too large.",
		"what was added to the audio path, and the tone control",
		"an IF filter too narrow for high tones, or a sound card with an equaliser switched on"},
	{"limiting",
		"Audio that still rises with a strong signal points to a limiter that does not limit: too little " +
			"gain before the detector.",
		"gain and supply of the IF amplifier and limiter",
		"an AGC, if the set has one"},
	{"squelch-dead",
		"The squelch opened at none of the levels recorded.",
		"the squelch control's setting, then the squelch detector's input",
		"a strongest level that was too weak, or a tone squelch that waits for its tone"},
	{"chatter",
		"A squelch that opens and shuts several times for one signal has too little hysteresis or smoothing.",
		"the smoothing capacitor of the squelch detector, and the feedback resistor that makes its hysteresis",
		"a signal right at the threshold: key it 3 dB stronger"},
	{"bassy-transmit",
		"Transmitted audio that does not rise as it should points to missing pre-emphasis, to a wrong or " +
			"blocked microphone insert, or to a bypass capacitor that is too large.",
		"the same with the test signal at the microphone socket and then into the insert: the difference is the microphone's",
		"a monitor whose de-emphasis was not taken out"},
	{"thin-transmit",
		"A low corner far above 300 Hz in transmitted audio points to a coupling capacitor that has dried out.",
		"the coupling capacitors of the microphone amplifier",
		"a high-pass on purpose against sub-audible tones"},
	{"over-deviation",
		"Deviation beyond the rated maximum points to a deviation control that is set too high.",
		"the deviation control, set with the input 20 dB above that for 60 %",
		"a limiter that was cut out; a reference whose deviation is not what its dial says"},
	{"no-limiter",
		"Deviation that goes on rising with the input points to a limiter that does not work.",
		"the limiter's diodes or its amplifier's supply",
		"a deviation control that is set far too high"},
	{"transmit-hum",
		"Hum on the carrier points to the supply of the oscillator or of the microphone amplifier.",
		"ripple at the oscillator's supply while it transmits; decoupling capacitors",
		"a bench supply that is loaded too far; the monitor's own hum"},
	{"transmit-noise",
		"Hiss on the carrier with the microphone shorted points to the microphone amplifier, or to a noisy oscillator.",
		"the microphone gain with the input shorted at the amplifier itself",
		"the monitor's own noise: record it with a generator's unmodulated carrier"},
	{"modulator",
		"Even harmonics in transmitted audio point to a modulator off its bias, or to a monitor off tune.",
		"the monitor's tuning: its own distortion from a generator; then the modulator's bias",
		"a carrier off its channel"},
}

// evidence are the figures that fire hints.
var evidence = says{
	"hum-line":                  "line at %.0f Hz, %.1f dB below the audio",
	"hum-line-on-mains":         "line at %.0f Hz, %.1f dB below the audio, on mains of %.0f Hz",
	"hum-line-at-zero":          "line at %.0f Hz with the volume at zero, %.1f dB below the audio",
	"tone-past-cable":           "tone at %.1f dB SINAD with the generator down and its cable ended",
	"noise-at-zero":             "noise with the volume at zero, %.1f dB below the audio",
	"needs-level":               "%s needs %.1f dBm",
	"snr-when-strong":           "signal to noise of a strong signal %.1f dB",
	"needs-little":              "%s needs %.1f dBm only",
	"noise-when-strong":         "noise of a strong signal only %.1f dB below the audio",
	"even-and-odd":              "even harmonics %.1f %%, odd ones %.1f %%",
	"centre-at":                 "centre at %.0f Hz",
	"even-least-at":             "even harmonics least at an offset of %.0f Hz",
	"odd-and-even":              "odd harmonics %.1f %%, even ones %.1f %%",
	"thd-over-volume":           "THD %.1f %% at the lowest volume, %.1f %% at its best",
	"low-edge-at":               "-3 dB at %.0f Hz",
	"tilt-against-de-emphasis":  "tilt %+.1f dB an octave against de-emphasis",
	"audio-down-at":             "audio 1 dB down at %.1f dBm still",
	"openings-after-closing":    "%.0f openings within 0.2 s of a closing",
	"tilt-against-pre-emphasis": "tilt %+.1f dB an octave against pre-emphasis",
	"largest-deviation":         "largest deviation %.0f %% of the rated one",
	"deviation-beyond-rated":    "deviation %.0f Hz with 20 dB more than for 60 %%, rated is %.0f Hz",
	"hum-below-modulation":      "hum %.1f dB below standard modulation with the microphone shorted",
	"noise-below-modulation":    "noise %.1f dB below standard modulation",
	"muted-at-all":              "muted at all levels",
}
