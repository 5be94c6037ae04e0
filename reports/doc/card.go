package doc

import (
	"fmt"

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
