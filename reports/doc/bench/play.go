package bench

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/capture/signal"
	"hisspoint/capture/unit"
	"hisspoint/reports/doc/say"
)

// Playing is a test signal that is played while a recording is made.
type Playing struct {
	Kind       string  // of signal.Kind
	Hz         float64 // of a tone
	Seconds    float64 // 0: as long as is recorded
	LevelDBFS  float64
	Own        bool    // its levels are those that the job states
	Volts      float64 // RMS of a full-scale sine where the signal goes; 0: not known
	Output     string  // device
	Microphone bool    // into the microphone socket; else into the generator
	Loop       bool    // the input hears the output itself
	Turned     string  // how the output's volume stands, if that works on the samples
	File       string  // of the set of test signals; empty: it is not among them
}

var signalWords = map[string]string{
	signal.KindStepped: "stepped tones", signal.KindSweep: "a sweep", signal.KindMultitone: "a multitone",
	signal.KindNoise: "noise shaped as speech", signal.KindLevels: "a tone, one input after the other",
}

// SignalName is what is played, in a few words.
func (p Playing) SignalName() string {
	if p.Kind == signal.KindTone {
		return "a tone of " + say.Significant(p.Hz, 5) + " Hz"
	}
	text := signalWords[p.Kind]
	if p.Seconds > 0 {
		text += " (" + say.Fixed(p.Seconds, 0) + " s)"
	}
	return text
}

// LevelText is the level with the volts that it gives where they are known.
func (p Playing) LevelText() string {
	text := say.Fixed(p.LevelDBFS, 1) + " dBFS"
	if p.Volts > 0 {
		text += " (" + say.Significant(1000*unit.Volts(p.LevelDBFS, p.Volts), 3) + " mV)"
	}
	return text
}

func (p Playing) into() string {
	if p.Microphone {
		return "the microphone socket"
	}
	return "the generator's modulation input"
}

// loudDBFS is the level from which a microphone socket behind a divider of 20 dB
// gets more than any microphone gives: 100 mV of a line output of 1 V, 10 mV there.
const loudDBFS = -20

// Text says what is played, how loud, where, and what speaks against it.
func (p Playing) Text() []string {
	lines := []string{fmt.Sprintf("plays %s at %s", p.SignalName(), p.LevelText()), fmt.Sprintf("on %s, into %s", p.Output, p.into())}
	switch {
	case p.Own:
	case p.Microphone:
		lines = append(lines, "set 1 kHz to a fifth of the rated deviation (p): 3 kHz deviates thrice that")
	default:
		lines = append(lines, "set 1 kHz to the deviation or depth of the test (p)")
	}
	if p.Loop {
		lines = append(lines, "! the input hears this output itself: this measures the computer, no set")
	}
	if p.Turned != "" {
		lines = append(lines, "! the output's volume stands at "+p.Turned+": it is that much softer than stated")
	}
	if p.Microphone && p.LevelDBFS >= loudDBFS {
		lines = append(lines, "! loud for a microphone socket, made for millivolts: go up in small steps")
	}
	return lines
}

// Keys are what may be typed instead of Enter while a signal is played.
func (p Playing) Keys() string {
	if p.Own {
		return "Enter (n play nothing, b back, s skip, w wiring, ? help, q stop):"
	}
	return "Enter; -38 dBFS, p tone, n play nothing (b back, s skip, w wiring, ? help, q stop):"
}

// ByOtherMeans says how to play a signal without this computer's output. why is
// empty where the person wants it so.
func (p Playing) ByOtherMeans(why string) []string {
	var lines []string
	if why != "" {
		lines = append(lines, "nothing is played: "+why)
	}
	switch {
	case p.File != "":
		lines = append(lines, fmt.Sprintf("hisspoint signals signals writes it: play signals/%s.wav from a phone or", p.File),
			fmt.Sprintf("another player into %s right after Enter", p.into()))
	case p.Kind == signal.KindTone:
		lines = append(lines, fmt.Sprintf("feed %s into %s by other means", p.SignalName(), p.into()))
	}
	if why == "" {
		lines = append(lines, "n plays it here again")
	}
	return lines
}

// PatchText says where the output has to be connected, before the first signal
// goes there. The microphone's follows the word for the dummy load.
func PatchText(p Playing) []string {
	if !p.Microphone {
		return []string{
			fmt.Sprintf("%s plays into the generator's input for external", p.Output),
			"modulation. Nothing of this computer at the set's microphone socket, and",
			"the microphone off: a set with VOX keys itself by sound, and a transmitter",
			"destroys the generator.",
			"",
			"Generator on external modulation; the level played sets its deviation.",
		}
	}
	sheet, _ := WiringCase("modulate")
	return append([]string{fmt.Sprintf("%s plays into the microphone socket, through a divider:", p.Output), ""}, sheet.Short()...)
}

// GeneratorWord is what has to be typed before a signal goes to the generator.
const GeneratorWord = "generator"

// PlayedResult is what a recording of a test signal shows: what was found on a
// line, and what speaks against keeping it.
func PlayedResult(p Playing, c analyze.PlayedCheck, r *analyze.Result) (line string, against []string) {
	if !c.Found() {
		return p.SignalName() + " was not found", []string{fmt.Sprintf("the signal that was played is not in the recording: check output, %s, the monitor or set, and the level", p.into())}
	}
	line = fmt.Sprintf("%s found, %s to %s s, level %s dBFS, peaks %s dBFS", p.SignalName(), say.Fixed(c.FromS, 1),
		say.Fixed(c.ToS, 1), say.Fixed(c.LevelDBFS, 1), say.Fixed(c.PeakDBFS, 1))
	if len(c.LostAtS) > 0 {
		against = append(against, fmt.Sprintf("samples were lost about %s s in: close other programs and record again", say.Fixed(c.LostAtS[0], 1)))
	}
	if r == nil {
		return line, against
	}
	if r.Why != "" {
		return line, append(against, "no response can be read from it: "+r.Why)
	}
	if x := r.Response; x != nil && x.Tilt.OK() {
		line += ", tilt " + liveValue(x.Tilt) + " dB/octave"
	}
	return line, against
}
