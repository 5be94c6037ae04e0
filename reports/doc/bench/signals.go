package bench

import (
	"fmt"

	"hisspoint/capture/signal"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// Signals lists test signals for people, with what each is for.
func Signals(s reports.Signals) doc.Document {
	d := doc.Document{}
	t := doc.Table{Columns: []doc.Column{{Head: "file"}, {Head: "length", Unit: "s", Align: doc.Decimal},
		{Head: "level", Unit: "dBFS", Align: doc.Decimal}}}
	if s.FullScaleVolts > 0 {
		t.Columns = append(t.Columns, doc.Column{Unit: "mV RMS", Align: doc.Decimal})
	}
	t.Columns = append(t.Columns, doc.Column{Head: "peak", Unit: "dBFS", Align: doc.Decimal})
	about := doc.List{}
	for _, x := range s.Signals {
		row := []string{x.Name + ".wav", say.Fixed(x.Seconds(), 1), say.Fixed(x.LevelDBFS, 2)}
		if mv, ok := s.Millivolts(x.LevelDBFS); ok {
			row = append(row, say.Significant(mv, 4))
		}
		t.Rows = append(t.Rows, append(row, say.Fixed(x.PeakDBFS, 2)))
		about.Items = append(about.Items, x.Name+": "+x.About+signalDetail(x))
	}
	rate := ""
	if len(s.Signals) > 0 {
		rate = fmt.Sprintf("%s kHz, %d bit, one channel", say.Significant(float64(s.Signals[0].Rate)/1000, 5), s.Bits)
	}
	d.Blocks = append(d.Blocks, doc.Heading{Text: "Test signals",
		Note: rate + "; levels are RMS, 0 dBFS is that of a full-scale sine"}, t, about)
	var notes []doc.Note
	for _, x := range s.Signals {
		if x.Lowered > 0 {
			notes = append(notes, doc.Note{Text: fmt.Sprintf("%s is %s dB below the level asked for, so that its peaks fit", x.Name, say.Fixed(x.Lowered, 1))})
		}
	}
	notes = append(notes, doc.Note{Text: "set the output so that 1 kHz gives what the test asks for; with pre-emphasis tones at 3 kHz deviate three times as far, so stay 10 dB or more below the limiter"})
	if s.FullScaleVolts == 0 {
		notes = append(notes, doc.Note{Text: "for levels in millivolts, measure the output at full scale and give --full-scale-volts"})
	}
	d.Blocks = append(d.Blocks, doc.Notes{Items: notes})
	return d
}

// signalDetail is what has to be known to use a signal.
func signalDetail(x signal.Signal) string {
	switch {
	case x.Sweep != nil:
		return fmt.Sprintf(" (%s to %s Hz in %s s)", say.Fixed(x.Sweep.LowHz, 0), say.Fixed(x.Sweep.HighHz, 0),
			say.Fixed(x.Sweep.Seconds, 2))
	case x.Kind == signal.KindMultitone:
		return fmt.Sprintf(" (%d tones, %s to %s Hz, crest factor %s dB)", len(x.TonesHz), say.Fixed(x.TonesHz[0], 0),
			say.Fixed(x.TonesHz[len(x.TonesHz)-1], 0), say.Fixed(x.CrestDB(), 1))
	case x.Kind == signal.KindTwoTone:
		return fmt.Sprintf(" (%s and %s Hz)", say.Fixed(x.TonesHz[0], 0), say.Fixed(x.TonesHz[1], 0))
	case x.Kind == signal.KindStepped:
		return fmt.Sprintf(" (%d tones, %s s each)", len(x.Parts), say.Fixed(x.Parts[0].To-x.Parts[0].From, 1))
	case x.Kind == signal.KindLevels:
		first, last := x.Parts[0], x.Parts[len(x.Parts)-1]
		return fmt.Sprintf(" (%d steps, %s to %s dBFS, %s s each)", len(x.Parts), say.Fixed(first.LevelDBFS, 0),
			say.Fixed(last.LevelDBFS, 0), say.Fixed(first.To-first.From, 1))
	}
	return ""
}
