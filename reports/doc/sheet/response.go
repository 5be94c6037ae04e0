package sheet

import (
	"fmt"
	"strings"

	"hisspoint/analyze"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/sentence"
)

// Response is the document of an audio response: its points, the curve, tilt and
// bands, what changed, and the answer in words.
func Response(r reports.Response) doc.Document {
	res := r.Result
	d := doc.Document{Blocks: []doc.Block{doc.Heading{Text: "Audio response, " + responseKind(res), Note: responseConditions(res)}}}
	if res.OK() {
		d.Blocks = append(d.Blocks, responseTable(res), responseCurve(r), responseFigures(res))
		if len(res.Distortion) > 0 {
			d.Blocks = append(d.Blocks, doc.Heading{Text: "Distortion against frequency",
				Note: "in percent of the fundamental", Level: 1}, distortionTable(res.Distortion))
		}
	}
	if notes := responseNotes(res); len(notes) > 0 {
		d.Blocks = append(d.Blocks, doc.Notes{Items: notes})
	}
	if r.Change != nil {
		d.Blocks = append(d.Blocks, changeBlocks(*r.Change)...)
	}
	d.Blocks = append(d.Blocks, responseAnswer(r))
	if r.Change != nil {
		d.Blocks = append(d.Blocks, changeAnswer(*r.Change))
	}
	return d
}

func responseKind(res analyze.ResponseResult) string {
	switch {
	case res.Kind == analyze.ResponseStepped:
		return "stepped tones"
	case res.Speech != nil && res.Speech.Noise:
		return "noise shaped as speech"
	case res.Kind == "":
		return "not found"
	}
	return res.Kind
}

// responseConditions says what was read and how.
func responseConditions(res analyze.ResponseResult) string {
	var parts []string
	if n := len(res.Files); n == 1 {
		parts = append(parts, res.Files[0].Origin.File)
	} else if n > 1 {
		parts = append(parts, fmt.Sprintf("%s and %d more", res.Files[0].Origin.File, n-1))
	}
	parts = append(parts, "relative to 1 kHz", "held against "+againstName(res.How.Against))
	if m := res.How.Monitor.Name; m != "" && m != analyze.MonitorFlat {
		parts = append(parts, "the monitor's curve ("+monitorName(m)+") is taken out")
	}
	if s := res.Speech; s != nil {
		parts = append(parts, fmt.Sprintf("%s s of sound less the long-term spectrum of speech (%s)", say.Fixed(s.ActiveS, 1), s.Spectrum))
	}
	return strings.Join(parts, "; ")
}

func againstName(against string) string {
	switch against {
	case analyze.AgainstPreEmphasis:
		return "pre-emphasis, +6 dB/octave"
	case analyze.AgainstDeEmphasis:
		return "de-emphasis, -6 dB/octave"
	}
	return "a flat line"
}

func monitorName(m string) string {
	switch m {
	case analyze.Monitor750us:
		return "750 \u00b5s"
	case analyze.Monitor6dB:
		return "6 dB/octave"
	}
	return m
}

func responseTable(res analyze.ResponseResult) doc.Table {
	held := res.How.Against != "" && res.How.Against != analyze.AgainstFlat
	digits := 4
	t := doc.Table{Columns: []doc.Column{{Head: "tone", Unit: "Hz", Align: doc.Decimal},
		{Head: "level", Unit: "dB", Align: doc.Decimal}, {Head: "95 %"}}}
	if res.Kind == analyze.ResponseSpeech {
		t.Columns[0].Head, digits = "band", 3
	}
	if held {
		t.Columns = append(t.Columns, doc.Column{Head: "deviation", Unit: "dB", Align: doc.Decimal})
	}
	for _, p := range res.Points {
		n := say.Between(p.DB, p.Low, p.High, 2)
		row := []string{say.Significant(p.Hz, digits), n.Value, n.Spread()}
		if p.Low == p.High { // nothing is surer than what all others are relative to
			row[2] = ""
		}
		if held {
			row = append(row, say.Between(p.Deviation, p.DevLow, p.DevHigh, 2).Value)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// responseCurve is what is held against a level line: the deviation.
func responseCurve(r reports.Response) doc.Curve {
	res := r.Result
	c := doc.Curve{X: doc.Axis{Name: "frequency", Unit: "Hz"}, Y: doc.Axis{Name: "deviation", Unit: "dB"}, LogX: true,
		Traces: []doc.Trace{{}}, Says: say.Sentence("the deviation over frequency: " + strings.Join(responseAnswer(r).Parts, "; "))}
	for _, p := range res.Points {
		c.Traces[0].Points = append(c.Traces[0].Points, doc.Dot{X: p.Hz, Y: p.Deviation, Low: p.DevLow, High: p.DevHigh})
	}
	c.Threshold = &doc.Line{At: 0, Label: "as it should be"}
	return c
}

// responseFigures are tilt, bands and edges.
func responseFigures(res analyze.ResponseResult) doc.Table {
	t := doc.Table{Columns: []doc.Column{{}, {Align: doc.Decimal}, {}, {}, {}}}
	add := func(label string, r analyze.Reading, most int) {
		t.Rows = append(t.Rows, figureRow(label, r, most))
	}
	add("tilt, 300 to 3000 Hz", res.Tilt, 2)
	for _, b := range res.Bands {
		add(fmt.Sprintf("%s to %s Hz", say.Fixed(b.FromHz, 0), say.Fixed(b.ToHz, 0)), b.Level, 2)
	}
	add("low tones against high tones", res.Balance, 2)
	if res.Kind != analyze.ResponseSpeech {
		add("-3 dB, low", res.EdgeLow, 0)
		add("-3 dB, high", res.EdgeHigh, 0)
	}
	return t
}

func figureRow(label string, r analyze.Reading, most int) []string {
	switch {
	case !r.OK():
		return []string{label, "-", "", "", string(r.Why)}
	case !r.HasInterval():
		return []string{label, say.Fixed(r.Value, min(1, most)), r.Unit, "", r.NoInterval}
	}
	n := say.Between(r.Value, r.Low, r.High, most)
	return []string{label, n.Value, r.Unit, n.Spread()}
}

// thirdOctave is the least ratio from one line of the table to the next.
const thirdOctave = 1.2

func distortionTable(ds []analyze.SweptDistortion) doc.Table {
	t := doc.Table{Columns: []doc.Column{{Head: "tone", Unit: "Hz", Align: doc.Decimal},
		{Head: "THD", Unit: "%", Align: doc.Decimal}, {Head: "of noise", Unit: "%", Align: doc.Decimal}, {Head: "harmonics"}}}
	last := 0.0
	for _, d := range ds {
		if d.Hz < thirdOctave*last {
			continue // the record holds all
		}
		last = d.Hz
		var parts []string
		for _, h := range d.Harmonics {
			if text := say.Fixed(h.Percent, 2); h.Percent > d.FloorPercent && strings.Trim(text, "0.") != "" {
				parts = append(parts, say.Ordinal(h.Order)+" "+text)
			}
		}
		t.Rows = append(t.Rows, []string{say.Significant(d.Hz, 4), say.Fixed(d.Percent, 2),
			say.Fixed(d.FloorPercent, 2), strings.Join(parts, ", ")})
	}
	return t
}

func responseNotes(res analyze.ResponseResult) []doc.Note {
	var notes []doc.Note
	for _, w := range res.Warnings {
		notes = append(notes, doc.Note{Warning: true, Text: sentence.Of(w.Says) + times(w.AtS)})
	}
	if res.Mask != nil {
		notes = append(notes, doc.Note{Text: "the mask is " + res.Mask.Mask.Name + ": " + res.Mask.Mask.Source})
	}
	if s := res.Speech; s != nil && !s.Noise && res.OK() {
		notes = append(notes,
			doc.Note{Text: fmt.Sprintf("against %s the tilt is %s dB/octave", s.OtherSpectrum, say.Fixed(s.OtherTilt, 1))},
			doc.Note{Text: fmt.Sprintf("the interval admits how far talkers differ: %s dB/octave and %s dB a band, standard deviations (common practice, no source). The same talker before and after, with --compare, tells much more surely", say.Fixed(analyze.TalkerTilt, 0), say.Fixed(analyze.TalkerBand, 0))})
	}
	return notes
}

// leanWords are the words of a tilt: even is neither bassy nor thin.
var leanWords = map[string]string{
	analyze.LeanBassy: "bassy", analyze.LeanThin: "thin", analyze.LeanEven: "even", analyze.LeanOpen: "bassy or thin: not told",
}

// tiltText is the tilt with its interval, to the digits of the table.
func tiltText(r analyze.Reading) string {
	n := say.Reading(r)
	if n.Low == "" {
		return n.Value + " dB/octave"
	}
	if n.PlusMinus != "" {
		return n.Value + " \u00b1" + n.PlusMinus + " dB/octave"
	}
	return n.Value + " dB/octave (95 %: " + n.Spread() + ")"
}

// responseAnswer is the response in words.
func responseAnswer(r reports.Response) doc.Answer {
	res := r.Result
	if !res.OK() {
		return doc.Answer{Parts: []string{"audio response: none"}, Outcome: doc.Unclear, Reason: noResponse(res.Why)}
	}
	a := doc.Answer{}
	if word, ok := leanWords[res.Lean]; ok {
		a.Parts = append(a.Parts, word, "tilt "+tiltText(res.Tilt))
	}
	if m := res.Mask; m != nil {
		a.Parts = append(a.Parts, maskText(*m))
		if r.MaskRule {
			w := say.Verdicts[m.Outcome]
			a.Verdict, a.Outcome = w.Word, w.Outcome
		}
		a.Reason = m.Why
	}
	if len(a.Parts) == 0 {
		a.Parts = []string{fmt.Sprintf("audio response at %d tones", len(res.Points))}
	}
	return a
}

// noResponse says why there is none.
func noResponse(why string) string {
	if why == "not-finite" {
		return "samples in it are no numbers, or far beyond full scale: export it again, as integers"
	}
	return why
}

func maskText(m analyze.MaskResult) string {
	worst := fmt.Sprintf("%s dB, %s Hz", say.Fixed(m.WorstDB, 1), say.Fixed(m.WorstHz, 0))
	switch m.Outcome {
	case analyze.MaskInside:
		return "within the mask"
	case analyze.MaskOutside:
		return "outside the mask: " + worst
	case analyze.MaskUndecided:
		return "at the mask's edge: " + worst
	}
	return "mask not judged"
}

// sharedBy is what two recordings of one kind of sound have in common.
func sharedBy(c reports.ResponseChange) string {
	if s := c.Before.Speech; s != nil && !s.Noise {
		return "the talker at the same distance and effort, the monitor"
	}
	return "the test signal, the monitor"
}

// changeBlocks are what became of a response.
func changeBlocks(c reports.ResponseChange) []doc.Block {
	d := c.Difference
	files := "before"
	if len(c.Before.Files) > 0 {
		files = c.Before.Files[0].Origin.File
	}
	blocks := []doc.Block{doc.Heading{Text: "Change since " + files, Note: "what both share cancels: " + sharedBy(c)}}
	if notes := responseNotes(analyze.ResponseResult{Warnings: c.Before.Warnings}); len(notes) > 0 {
		blocks = append(blocks, doc.Notes{Items: notes})
	}
	if d.Why != "" {
		return blocks
	}
	t := doc.Table{Columns: []doc.Column{{}, {Align: doc.Decimal}, {}, {}, {}}}
	t.Rows = append(t.Rows, figureRow("tilt, 300 to 3000 Hz", d.Tilt, 2))
	for _, b := range d.Bands {
		t.Rows = append(t.Rows, figureRow(fmt.Sprintf("%s to %s Hz", say.Fixed(b.FromHz, 0), say.Fixed(b.ToHz, 0)), b.Level, 2))
	}
	return append(blocks, t)
}

var changeWords = map[string]string{
	analyze.ChangeBassier: "bassier than before", analyze.ChangeThinner: "thinner than before",
	analyze.ChangeSame: "no change of tone that matters", analyze.ChangeOpen: "bassier or thinner than before: not told",
}

// changeAnswer is the change in words.
func changeAnswer(c reports.ResponseChange) doc.Answer {
	d := c.Difference
	if d.Why != "" {
		return doc.Answer{Parts: []string{"change: not comparable"}, Outcome: doc.Unclear, Reason: d.Why}
	}
	if word, ok := changeWords[d.Lean]; ok {
		return doc.Answer{Parts: []string{word, "tilt " + tiltText(d.Tilt)}}
	}
	return doc.Answer{Parts: []string{"change: tilt not told"}, Outcome: doc.Unclear, Reason: string(d.Tilt.Why)}
}
