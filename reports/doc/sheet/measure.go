package sheet

import (
	"fmt"
	"math"
	"strings"

	"hisspoint/analyze"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/sentence"
)

// Measure is the document of recordings read one by one: a block each.
func Measure(r reports.Measure) doc.Document {
	d := doc.Document{}
	for _, rec := range r.Recordings {
		if rec.Error != "" {
			d.Blocks = append(d.Blocks, doc.Heading{Text: rec.File, Note: "not read"},
				doc.Notes{Items: []doc.Note{{Warning: true, Text: rec.Error}}})
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
		line := say.Channel(m) + ": SINAD " + say.Brief(m.Get(analyze.SINAD))
		if m.Get(analyze.SINAD).OK() {
			line += ", THD " + say.Brief(m.Get(analyze.THD))
		} else if l := m.Get(analyze.Level); l.OK() {
			line += ", level " + say.Brief(l)
		}
		lines = append(lines, say.Joined(" ", line, Warned(warningsIn(m))))
	}
	return lines
}

// recording is the block of one recording.
func recording(m analyze.Measured) []doc.Block {
	blocks := []doc.Block{doc.Heading{Text: say.Channel(m), Note: sound(m)}}
	table := doc.Table{Columns: []doc.Column{{}, {Align: doc.Decimal}, {}, {}, {}}}
	for _, s := range say.Readings {
		for _, r := range m.Readings {
			if r.Name == s.Name && (r.Name != analyze.ToneDrift || drifts(r, m)) && (r.Name != analyze.BuzzLevel || r.OK()) {
				table.Rows = append(table.Rows, readingRow(s.Label, r, m))
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
		blocks = append(blocks, doc.Notes{Items: notes})
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
	whole := say.Significant(float64(m.Frames)/float64(max(1, m.Rate)), 4) + " s, all used"
	if m.From > 0 || (m.To-m.From)*float64(m.Rate) < float64(m.Frames)-0.5 {
		whole = fmt.Sprintf("used %s to %s s", say.Significant(m.From, 5), say.Significant(m.To, 5))
	}
	return fmt.Sprintf("%s; %s kHz, %d bit; filter %s", whole, say.Significant(float64(m.Rate)/1000, 5),
		m.Origin.Bits, say.FilterAt(m.Filter, m.Rate))
}

func readingRow(label string, r analyze.Reading, m analyze.Measured) []string {
	if r.Bounded {
		return []string{label, "-", "", "", say.AtMost(r)}
	}
	if !r.OK() {
		return []string{label, "-", "", "", say.Why(r.Why)}
	}
	if r.Name == analyze.DCOffset { // a share of full scale reads better in percent
		r.Value, r.Low, r.High, r.Unit = 100*r.Value, 100*r.Low, 100*r.High, "%"
	}
	n, note := say.Reading(r), ""
	switch r.Name {
	case analyze.DCOffset:
		note = "of full scale"
	case analyze.HumFrequency:
		note = "found from the hum lines"
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
		decimals = max(0, min(3, say.Decimals(floor)))
	}
	var parts []string
	for _, h := range m.Harmonics {
		if text := say.Fixed(h.Percent, decimals); h.Percent > floor && strings.Trim(text, "0.") != "" {
			parts = append(parts, say.Ordinal(h.Order)+" "+text+" %")
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
		parts = append(parts, fmt.Sprintf("%s Hz %s", say.Fixed(l.FrequencyHz, 0), say.Fixed(l.LevelDBFS, 1)))
	}
	return strings.Join(parts, ", ") + " dBFS"
}

// remarks are the warnings of a recording, and what a person may want to do.
func remarks(m analyze.Measured) []doc.Note {
	var notes []doc.Note
	for _, w := range m.Warnings {
		notes = append(notes, doc.Note{Warning: true, Text: sentence.Of(w.Says) + times(w.AtS)})
	}
	if m.ToneOnMains > 0 {
		notes = append(notes, doc.Note{Text: fmt.Sprintf("the tone, or a harmonic of it, lies on the mains multiple %s Hz: that line is left out of the hum", say.Fixed(m.ToneOnMains, 0))})
	}
	if m.OtherTone > 0 {
		notes = append(notes, doc.Note{Warning: true, Text: otherTone(m.OtherTone)})
	}
	if m.HumOrTone > 0 {
		notes = append(notes, doc.Note{Text: humOrTone(m)})
	}
	if m.SubAudibleTone > 0 {
		notes = append(notes, doc.Note{Text: subAudible(m)})
	}
	if r := m.Get(analyze.SINAD); r.OK() && !r.HasInterval() {
		notes = append(notes, doc.Note{Text: "no interval: " + r.NoInterval})
	}
	return notes
}

// humOrTone says of a line that may be hum or a tone which of the two it was taken for.
func humOrTone(m analyze.Measured) string {
	const tell = "; record again with the tone off to tell"
	line := fmt.Sprintf("the line at %s Hz, %s dBFS, may be hum or ", say.Fixed(m.HumOrTone, 2), say.Fixed(m.HumOrToneDBFS, 1))
	if standard, within := analyze.StandardTone(m.HumOrTone); within {
		line += "the sub-audible tone " + say.Fixed(standard, 1) + " Hz: "
	} else {
		line += "a tone: "
	}
	switch {
	case m.Get(analyze.HumLevel).Bounded:
		return line + "what the hum is at most holds it"
	case m.HumHasIt:
		return line + "it counts as hum" + tell
	}
	return line + "the hum is given without it, its upper end with it" + tell
}

// otherTone names the option that measures a tone which stands elsewhere.
func otherTone(hz float64) string {
	return fmt.Sprintf("a clear tone stands at %s Hz, not at the one expected; if it is the test tone, give --tone %s", say.Fixed(hz, 1), say.Fixed(hz, 0))
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
		parts = append(parts, say.Fixed(t, 2))
	}
	return " (at " + strings.Join(parts, ", ") + " s)"
}

// subAudible says which sub-audible tone a line is.
func subAudible(m analyze.Measured) string {
	text := fmt.Sprintf("a line stands at %s Hz, %s dBFS, below the speech band", say.Fixed(m.SubAudibleTone, 2),
		say.Fixed(m.SubAudibleDBFS, 1))
	if standard, within := analyze.StandardTone(m.SubAudibleTone); within {
		return text + ": the sub-audible tone " + say.Fixed(standard, 1) + " Hz"
	}
	return text + "; no standard sub-audible tone lies within 0.5 % of it"
}
