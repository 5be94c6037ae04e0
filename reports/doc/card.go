package doc

import (
	"fmt"
	"math"

	"hisspoint/capture/job"
	"hisspoint/reports"
)

// Devices is the document of the inputs and outputs of a sound card.
func Devices(r reports.Devices) Document {
	d := Document{}
	for _, part := range []struct {
		title string
		list  []reports.Device
	}{{"Inputs", r.Inputs}, {"Outputs", r.Outputs}} {
		d.Blocks = append(d.Blocks, Heading{Text: part.title})
		t := Table{Columns: []Column{{}, {Align: Right}, {Align: Right}, {Align: Right}, {}}}
		var notes []Note
		for _, x := range part.list {
			bits := fmt.Sprintf("%d bit", x.Bits)
			if x.Float {
				bits = "float"
			}
			is := ""
			switch {
			case x.Default:
				is = "the system's choice"
			case x.Hears != "":
				is = "hears an output"
			}
			t.Rows = append(t.Rows, []string{x.Name, fmt.Sprintf("%d Hz", x.RateHz), fmt.Sprintf("%d ch.", x.Channels), bits, is})
			if x.Muted {
				notes = append(notes, Note{Warning: true, Text: x.Name + " is muted"})
			}
			if x.Volume != "" {
				notes = append(notes, Note{Warning: true, Text: x.Name + ": its volume control stands at " + x.Volume + " and changes the samples; set it to 100 %"})
			}
		}
		if len(t.Rows) == 0 {
			notes = append(notes, Note{Text: "none"})
		} else {
			d.Blocks = append(d.Blocks, t)
		}
		if len(notes) > 0 {
			d.Blocks = append(d.Blocks, Notes{notes})
		}
	}
	return d
}

// SoundCard is the document of a qualified sound card.
func SoundCard(r reports.Card) Document {
	c := r.Card
	name := r.Device
	if name == "" {
		name = r.File
	}
	t := Table{Columns: []Column{{}, {Align: Decimal}, {}, {}}}
	row := func(label, value, unit, note string) { t.Rows = append(t.Rows, []string{label, value, unit, note}) }
	noise := func(label, filter string) {
		if v, ok := c.NoiseDBFS[filter]; ok {
			row(label, fixed(v, 1), "dBFS", "")
		} else {
			row(label, "-", "", "none: digital silence")
		}
	}
	noise("own noise, speech band", job.SpeechBand)
	noise("own noise, psophometric", job.Psophometric)
	noise("own noise, wide", job.Wide)
	if c.HumDBFS != nil {
		row("hum", fixed(*c.HumDBFS, 1), "dBFS", "")
	}
	row("distortion (THD)", fixed(c.DistortionPC, 3), "%", "1 kHz, output at -6 dBFS")
	row("gain, output to input", fixed(c.GainDB, 2), "dB", "")
	row("a step of 20 dB is wrong by", fixed(c.StepDB, 2), "dB", "0 without gain control")
	row("gain moves by", fixed(c.DriftDB, 2), "dB", "")
	worst := 0.0
	for _, x := range c.Response {
		if x.Hz >= 300 && x.Hz <= 3400 && math.Abs(x.DB) > math.Abs(worst) {
			worst = x.DB
		}
	}
	row("response, 300 to 3400 Hz", fixed(worst, 2), "dB", "furthest from 1 kHz")
	if c.BalanceDB != nil {
		row("channel 2 against 1", fixed(*c.BalanceDB, 2), "dB", "")
	}
	if c.ClockPPM != nil {
		row("clock", fixed(*c.ClockPPM, 1), "ppm", "against the frequency given")
	}
	if c.FullScaleVolts != nil {
		how := "RMS of a sine at the input; its uncertainty is not stated"
		if c.VoltsPercent != nil {
			how = "\u00b1" + Significant(*c.VoltsPercent, 3) + " %; RMS of a sine at the input"
		}
		row("full scale", Significant(*c.FullScaleVolts, 4), "V", how)
	}
	d := Document{Blocks: []Block{Heading{Text: name, Note: fmt.Sprintf("%d Hz; holds for the input gain at which it was made%s", c.RateHz, gainNote(c.InputGain))}, t}}
	var notes []Note
	for _, f := range c.Findings {
		notes = append(notes, Note{Warning: true, Text: f})
	}
	if len(notes) == 0 {
		notes = append(notes, Note{Text: "nothing speaks against measuring with it"})
	}
	d.Blocks = append(d.Blocks, Notes{notes})
	return d
}

func gainNote(gain string) string {
	if gain == "" {
		return ""
	}
	return ": " + gain
}
