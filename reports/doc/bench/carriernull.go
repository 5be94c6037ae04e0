package bench

import (
	"fmt"

	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// CarrierNulls is the table of carrier nulls, with how to use it.
func CarrierNulls(c reports.CarrierNulls) doc.Document {
	t := doc.Table{Columns: []doc.Column{{Head: "null", Align: doc.Right}, {Head: "index", Align: doc.Decimal},
		{Head: "tone", Unit: "Hz", Align: doc.Decimal}, {Head: "deviation", Unit: "Hz", Align: doc.Decimal},
		{Head: "40 dB down", Unit: "\u00b1%", Align: doc.Decimal}}}
	for _, n := range c.Nulls {
		t.Rows = append(t.Rows, []string{say.Ordinal(n.Number), say.Fixed(n.Index, 4), say.Fixed(n.ToneHz, 1),
			say.Fixed(n.Deviation, 1), say.Fixed(n.PercentAt40dB, 2)})
	}
	return doc.Document{Blocks: []doc.Block{
		doc.Heading{Text: "Carrier nulls of FM", Note: "where J0 of the modulation index (deviation over tone) is zero"}, t,
		doc.Notes{Items: []doc.Note{
			{Text: "raise the deviation from zero until the carrier, heard in a narrow receiver, vanishes for the first time: that is the first null; then on to the next"},
			{Text: "a carrier that is still heard 40 dB below its level without modulation leaves the deviation open by the last column"},
			{Text: "the tone's own frequency error and harmonics, and AM that comes along, add to that"},
		}},
	}}
}

// CarrierNullLines is one line a null, the shortest answer.
func CarrierNullLines(c reports.CarrierNulls) []string {
	var lines []string
	for _, n := range c.Nulls {
		lines = append(lines, fmt.Sprintf("%s null: tone %s Hz, deviation %s Hz", say.Ordinal(n.Number),
			say.Fixed(n.ToneHz, 1), say.Fixed(n.Deviation, 1)))
	}
	return lines
}
