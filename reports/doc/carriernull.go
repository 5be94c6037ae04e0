package doc

import (
	"fmt"

	"hisspoint/reports"
)

// CarrierNulls is the table of carrier nulls, with how to use it.
func CarrierNulls(c reports.CarrierNulls) Document {
	t := Table{Columns: []Column{{Head: "null", Align: Right}, {Head: "index", Align: Decimal}, {Head: "tone", Unit: "Hz", Align: Decimal}, {Head: "deviation", Unit: "Hz", Align: Decimal}, {Head: "40 dB down", Unit: "\u00b1%", Align: Decimal}}}
	for _, n := range c.Nulls {
		t.Rows = append(t.Rows, []string{ordinal(n.Number), fixed(n.Index, 4), fixed(n.ToneHz, 1), fixed(n.Deviation, 1), fixed(n.PercentAt40dB, 2)})
	}
	return Document{Blocks: []Block{
		Heading{Text: "Carrier nulls of FM", Note: "where J0 of the modulation index (deviation over tone) is zero"}, t,
		Notes{[]Note{
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
		lines = append(lines, fmt.Sprintf("%s null: tone %s Hz, deviation %s Hz", ordinal(n.Number), fixed(n.ToneHz, 1), fixed(n.Deviation, 1)))
	}
	return lines
}
