package doc

import (
	"fmt"
	"math"
	"strings"

	"hisspoint/analyze"
	"hisspoint/reports"
)

// Measure is the document of recordings read one by one: a block each.
func Measure(r reports.Measure) Document {
	d := Document{}
	for _, rec := range r.Recordings {
		if rec.Error != "" {
			d.Blocks = append(d.Blocks, Heading{Text: rec.File, Note: "not read"}, Notes{[]Note{{Warning: true, Text: rec.Error}}})
			continue
		}
		d.Blocks = append(d.Blocks, recording(rec.Measured)...)
	}
	return d
}

// MeasureLines is one line a recording, the shortest answer.
func MeasureLines(r reports.Measure) []string {
	var lines []string
	for _, rec := range r.Recordings {
		if rec.Error != "" {
			continue
		}
		m := rec.Measured
		line := channelName(m) + ": SINAD " + brief(m.Get(analyze.SINAD))
		if m.Get(analyze.SINAD).OK() {
			line += ", THD " + brief(m.Get(analyze.THD))
		} else if l := m.Get(analyze.Level); l.OK() {
			line += ", level " + brief(l)
		}
		lines = append(lines, joined(" ", line, warned(warningsIn(m))))
	}
	return lines
}

// brief is a reading in a few words.
func brief(r analyze.Reading) string {
	if !r.OK() {
		return "not given: " + why(r.Why)
	}
	n := OfReading(r)
	text := n.Value + " " + r.Unit
	if n.PlusMinus != "" {
		text = n.Value + " ±" + n.PlusMinus + " " + r.Unit
	} else if s := n.Spread(); s != "" {
		text += " (" + s + ")"
	}
	return text
}

func channelName(m analyze.Measured) string {
	if m.Origin.Channels > 1 {
		return fmt.Sprintf("%s (channel %d of %d)", m.Origin.File, m.Origin.Channel, m.Origin.Channels)
	}
	return m.Origin.File
}

// recording is the block of one recording.
func recording(m analyze.Measured) []Block {
	blocks := []Block{Heading{Text: channelName(m), Note: sound(m)}}
	table := Table{Columns: []Column{{}, {Align: Decimal}, {}, {}, {}}}
	for _, s := range readings {
		for _, r := range m.Readings {
			if r.Name == s.name && (r.Name != analyze.ToneDrift || drifts(r, m)) {
				table.Rows = append(table.Rows, readingRow(s.label, r, m))
			}
		}
	}
	if len(m.Harmonics) > 0 {
		table.Rows = append(table.Rows, []string{"harmonics", harmonics(m)})
	}
	if len(m.HumLines) > 1 {
		table.Rows = append(table.Rows, []string{"hum lines", humLines(m)})
	}
	blocks = append(blocks, table)
	if notes := remarks(m); len(notes) > 0 {
		blocks = append(blocks, Notes{notes})
	}
	return blocks
}

// leastDrift is how many hertz a tone moves within a recording before it is worth a line.
const leastDrift = 0.1

// drifts tells whether the drift of the tone stands out of its interval, twice over.
func drifts(r analyze.Reading, m analyze.Measured) bool {
	size := math.Abs(r.Value)
	return r.OK() && size > r.High-r.Low && size*(m.To-m.From) > leastDrift
}

// sound says what was used, of what kind, through which filter.
func sound(m analyze.Measured) string {
	whole := Significant(float64(m.Frames)/float64(max(1, m.Rate)), 4) + " s, all used"
	if m.From > 0 || (m.To-m.From)*float64(m.Rate) < float64(m.Frames)-0.5 {
		whole = fmt.Sprintf("used %s to %s s", Significant(m.From, 5), Significant(m.To, 5))
	}
	return fmt.Sprintf("%s; %s kHz, %d bit; filter %s", whole, Significant(float64(m.Rate)/1000, 5), m.Origin.Bits, filterName(m.Filter))
}

func readingRow(label string, r analyze.Reading, m analyze.Measured) []string {
	if !r.OK() {
		return []string{label, "-", "", "", why(r.Why)}
	}
	if r.Name == analyze.DCOffset { // a share of full scale reads better in percent
		r.Value, r.Low, r.High, r.Unit = 100*r.Value, 100*r.Low, 100*r.High, "%"
	}
	n, note := OfReading(r), ""
	switch r.Name {
	case analyze.DCOffset:
		note = "of full scale"
	case analyze.HumFrequency:
		note = "family that stands out"
	}
	return []string{label, n.Value, r.Unit, n.Spread(), note}
}

// harmonics lists those that stand above what noise alone may add: more than the
// half-width of the distortion's interval.
func harmonics(m analyze.Measured) string {
	r, decimals, floor := m.Get(analyze.THD), 2, 0.0
	if r.HasInterval() {
		floor = (r.High - r.Low) / 2
	}
	if floor > 0 {
		decimals = max(0, min(3, decimalsFor(floor)))
	}
	var parts []string
	for _, h := range m.Harmonics {
		if text := fixed(h.Percent, decimals); h.Percent > floor && strings.Trim(text, "0.") != "" {
			parts = append(parts, ordinal(h.Order)+" "+text+" %")
		}
	}
	if len(parts) == 0 {
		return "none above the noise"
	}
	return strings.Join(parts, ", ")
}

func humLines(m analyze.Measured) string {
	var parts []string
	for _, l := range m.HumLines {
		parts = append(parts, fmt.Sprintf("%s Hz %s", fixed(l.FrequencyHz, 0), fixed(l.LevelDBFS, 1)))
	}
	return strings.Join(parts, ", ") + " dBFS"
}

// remarks are the warnings of a recording, and what a person may want to do.
func remarks(m analyze.Measured) []Note {
	var notes []Note
	for _, w := range m.Warnings {
		notes = append(notes, Note{Warning: true, Text: w.Text + times(w.AtS)})
	}
	if m.ToneOnMains > 0 {
		notes = append(notes, Note{Text: fmt.Sprintf("the tone, or a harmonic of it, stands on the mains multiple %s Hz: that line is left out of the hum", fixed(m.ToneOnMains, 0))})
	}
	if m.OtherTone > 0 {
		notes = append(notes, Note{Warning: true, Text: otherTone(m.OtherTone)})
	}
	if m.SubAudibleTone > 0 {
		notes = append(notes, Note{Text: subAudible(m)})
	}
	if r := m.Get(analyze.SINAD); r.OK() && !r.HasInterval() {
		notes = append(notes, Note{Text: "no interval: " + r.NoInterval})
	}
	return notes
}

// otherTone names the option that measures a tone which stands elsewhere.
func otherTone(hz float64) string {
	return fmt.Sprintf("a clear tone stands at %s Hz, not at the one expected; if it is the test tone, give --tone %s", fixed(hz, 1), fixed(hz, 0))
}

// times lists where a warning applies, the first few of them.
func times(at []float64) string {
	if len(at) == 0 {
		return ""
	}
	const most = 4
	var parts []string
	for i, t := range at {
		if i == most {
			parts = append(parts, fmt.Sprintf("and %d more", len(at)-most))
			break
		}
		parts = append(parts, fixed(t, 2))
	}
	return " (at " + strings.Join(parts, ", ") + " s)"
}

// subAudible says which sub-audible tone a line is.
func subAudible(m analyze.Measured) string {
	text := fmt.Sprintf("a line stands at %s Hz, %s dBFS, below the speech band", fixed(m.SubAudibleTone, 2), fixed(m.SubAudibleDBFS, 1))
	if standard, within := analyze.StandardTone(m.SubAudibleTone); within {
		return text + ": the sub-audible tone " + fixed(standard, 1) + " Hz"
	}
	return text + "; no standard sub-audible tone lies within 0.5 % of it"
}
