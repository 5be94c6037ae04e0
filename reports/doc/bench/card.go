package bench

import (
	"fmt"
	"math"

	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// Devices is the document of the inputs and outputs of a sound card.
func Devices(r reports.Devices) doc.Document {
	d := doc.Document{}
	for _, part := range []struct {
		title string
		list  []reports.Device
	}{{"Inputs", r.Inputs}, {"Outputs", r.Outputs}} {
		d.Blocks = append(d.Blocks, doc.Heading{Text: part.title})
		t := doc.Table{Columns: []doc.Column{{}, {Align: doc.Right}, {Align: doc.Right}, {Align: doc.Right}, {}}}
		var notes []doc.Note
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
				notes = append(notes, doc.Note{Warning: true, Text: x.Name + " is muted"})
			}
			if x.Volume != "" {
				notes = append(notes, doc.Note{Warning: true,
					Text: x.Name + ": its volume control stands at " + x.Volume + " and changes the samples; set it to 100 %"})
			}
		}
		if len(t.Rows) == 0 {
			notes = append(notes, doc.Note{Text: "none"})
		} else {
			d.Blocks = append(d.Blocks, t)
		}
		if len(notes) > 0 {
			d.Blocks = append(d.Blocks, doc.Notes{Items: notes})
		}
	}
	return d
}

// SoundCard is the document of a qualified sound card.
func SoundCard(r reports.Card) doc.Document {
	c := r.Card
	name := r.Device
	if name == "" {
		name = r.File
	}
	t := doc.Table{Columns: []doc.Column{{}, {Align: doc.Decimal}, {}, {}}}
	row := func(label, value, unit, note string) { t.Rows = append(t.Rows, []string{label, value, unit, note}) }
	noise := func(label, filter string) {
		if v, ok := c.NoiseDBFS[filter]; ok {
			row(label, say.Fixed(v, 1), "dBFS", "")
		} else {
			row(label, "-", "", "none: digital silence")
		}
	}
	noise("own noise, speech band", job.SpeechBand)
	noise("own noise, psophometric", job.Psophometric)
	noise("own noise, wide", job.Wide)
	if c.HumDBFS != nil {
		row("hum", say.Fixed(*c.HumDBFS, 1), "dBFS", "")
	}
	row("distortion (THD)", say.Fixed(c.DistortionPC, 3), "%", "1 kHz, output at -6 dBFS")
	row("gain, output to input", say.Fixed(c.GainDB, 2), "dB", "")
	row("error of a 20 dB step", say.Fixed(c.StepDB, 2), "dB", "0 without gain control")
	row("gain moves by", say.Fixed(c.DriftDB, 2), "dB", "")
	worst := 0.0
	for _, x := range c.Response {
		if x.Hz >= 300 && x.Hz <= 3400 && math.Abs(x.DB) > math.Abs(worst) {
			worst = x.DB
		}
	}
	row("response, 300 to 3400 Hz", say.Fixed(worst, 2), "dB", "furthest from 1 kHz")
	if c.BalanceDB != nil {
		row("channel 2 against 1", say.Fixed(*c.BalanceDB, 2), "dB", "")
	}
	if c.ClockPPM != nil {
		row("clock", say.Fixed(*c.ClockPPM, 1), "ppm", "against the frequency given")
	}
	if c.FullScaleVolts != nil {
		how := "RMS of a sine at the input; its uncertainty is not stated"
		if c.VoltsPercent != nil {
			how = "\u00b1" + say.Significant(*c.VoltsPercent, 3) + " %; RMS of a sine at the input"
		}
		row("full scale", say.Significant(*c.FullScaleVolts, 4), "V", how)
	}
	d := doc.Document{Blocks: []doc.Block{doc.Heading{Text: name,
		Note: fmt.Sprintf("%d Hz; holds for the input gain at which it was made%s", c.RateHz, gainNote(c.InputGain))}, t}}
	var notes []doc.Note
	for _, f := range c.Findings {
		notes = append(notes, doc.Note{Warning: true, Text: f})
	}
	if len(notes) == 0 {
		notes = append(notes, doc.Note{Text: "no fault found in this card"})
	}
	d.Blocks = append(d.Blocks, doc.Notes{Items: notes})
	return d
}

func gainNote(gain string) string {
	if gain == "" {
		return ""
	}
	return ": " + gain
}
