package bench

import (
	"fmt"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/sentence"
)

// Recording is what a person is told before a recording.
type Recording struct {
	Label      string // the test
	Kind       job.Kind
	Take       job.Take
	Tone       float64 // Hz; 0: 1000
	Deviation  float64
	Depth      float64
	Level      unit.Level // of the generator for the whole test
	LevelTyped string
	Conditions job.RoundConditions
	Seconds    float64
	File       string
	Signal     []string // what is said of the signal that is played for it
}

// RecordingTitle is what is to be recorded, in a few words.
func RecordingTitle(r Recording) string {
	if p := r.Kind.Place(r.Take); p != "" {
		return r.Label + ", " + p
	}
	return r.Label
}

// RecordingText tells what to set for a recording, a thing a line.
func RecordingText(r Recording) []string {
	var lines []string
	add := func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }
	level, typed := r.Level, r.LevelTyped
	if r.Kind.Axis == job.AxisLevel || r.Kind.States && r.Take.Typed != "" {
		level, typed = r.Take.Level, r.Kind.Place(r.Take)
	}
	switch {
	case r.Kind.Transmit:
		add("transmitter keyed, into the dummy load; generator off")
	case r.Take.State == job.StateOff || level.Scale == unit.Off && typed != "":
		add("generator off (no signal)")
	case typed != "":
		add("%s", Dial(level, r.Conditions))
	}
	switch r.Take.State {
	case job.StateCarrier:
		add("modulation off")
	case job.StateModulated, "":
		m := modulated(r)
		if r.Kind.Axis == job.AxisTone && len(r.Signal) > 0 {
			m = deviation(r) // the tones are those of the signal
		}
		if m != "" && r.Take.State != job.StateOff {
			add("%s", m)
		}
	}
	switch r.Kind.Axis {
	case job.AxisTone, job.AxisOffset, job.AxisVolume, job.AxisInput:
		if r.Take.AtTyped != "" {
			add("%s: %s", axisWords[r.Kind.Axis], r.Take.AtTyped)
		}
	}
	if r.Kind.Prompt != "" {
		add("%s", r.Kind.Prompt)
	} else if !r.Kind.Transmit {
		add("squelch open, volume and card gain as before")
	}
	if r.Conditions.Controls != "" {
		add("controls: %s", r.Conditions.Controls)
	}
	lines = append(lines, r.Signal...)
	add("then Enter records %s s to %s", say.Significant(r.Seconds, 3), r.File)
	return lines
}

var axisWords = map[string]string{job.AxisTone: "modulating tone", job.AxisOffset: "generator off frequency by",
	job.AxisVolume: "volume control", job.AxisInput: "at the microphone socket"}

// modulated is the standard modulation in words.
func modulated(r Recording) string {
	if r.Kind.Holds == job.HoldsSilence {
		return ""
	}
	tone := r.Tone
	if tone == 0 {
		tone = 1000
	}
	if r.Kind.Axis == job.AxisTone && r.Take.AtTyped != "" {
		return deviation(r)
	}
	text := "tone " + say.Significant(tone, 5) + " Hz"
	if d := deviation(r); d != "" {
		text += ", " + d
	}
	return text
}

func deviation(r Recording) string {
	switch {
	case r.Deviation > 0:
		return "deviation " + say.Significant(r.Deviation/1000, 4) + " kHz"
	case r.Depth > 0:
		return "modulation " + say.Significant(r.Depth, 3) + " %"
	}
	return ""
}

// Dial is what the generator is set to, and what that gives at the set: "dial -97.0 dBm
// (3.16 µV PD): after the 10 dB pad 1 µV PD, -107.0 dBm, at the set".
func Dial(l unit.Level, c job.RoundConditions) string {
	kind := c.LevelKind
	if kind == "" {
		kind = unit.PD
	}
	if l.Scale != unit.Absolute {
		return "dial " + say.Level(l, kind)
	}
	text := "dial " + say.Fixed(l.DB, 1) + " dBm (" + say.Level(l, kind) + ")"
	if c.RFPadDB != 0 {
		at := l.Add(-c.RFPadDB)
		text += fmt.Sprintf(": %s dB pad, %s, %s dBm, at the set", say.Significant(c.RFPadDB, 3), say.Level(at, kind), say.Fixed(at.DB, 1))
	}
	return text
}

// RecordingResult is what a recording that was just made shows: its readings on a
// line, and what speaks against keeping it.
func RecordingResult(m analyze.Measured) (line string, against []string) {
	var parts []string
	for _, name := range []string{analyze.SINAD, analyze.THD, analyze.ToneLevel, analyze.NoiseLevel, analyze.Level} {
		if r := m.Get(name); r.OK() {
			parts = append(parts, liveNames[name]+" "+say.Brief(r))
		}
	}
	for _, w := range m.Warnings {
		if w.Code != capture.ChannelsIdentical { // a note, and true of most cards
			against = append(against, sentence.Of(w.Says))
		}
	}
	return strings.Join(parts, ", "), against
}

// RecordPanel is the screen of record: what to set, and a small live reading.
func RecordPanel(title, source string, text []string, w reports.Watch, heard bool, prompt, answer string) doc.Panel {
	p := doc.Panel{Title: title, Source: source, Text: text, Prompt: prompt, Answer: answer}
	if !heard {
		p.State = "waiting for sound"
		return p
	}
	for _, name := range []string{analyze.Level, analyze.SINAD, analyze.ToneFrequency, analyze.NoiseLevel} {
		p.Figures = append(p.Figures, doc.Figure{Label: liveNames[name], Value: liveOrDash(w.Measured.Get(name))})
	}
	for _, x := range w.Measured.Warnings {
		p.Warnings = append(p.Warnings, sentence.Of(x.Says))
	}
	return p
}

// DummyText is what is said before the first recording of a transmit test.
func DummyText() []string {
	sheet, _ := WiringCase("transmit")
	return append([]string{
		"Transmit tests follow. Generator off, and off the antenna socket: a",
		"transmitter destroys it in an instant. Dummy load on, for the full power.",
		"",
	}, sheet.Short()...)
}

// DummyWord is what has to be typed before a transmitter is keyed.
const DummyWord = "dummy"
