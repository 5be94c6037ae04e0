package handmade

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/reports"
)

// Whole is Job with tests of more kinds: a response with a mask, judged by a limit
// from memory; a squelch timing; distortion with a spectrum; and one that could not
// be given. The rounds have hints.
func Whole() reports.Job {
	r := Job()
	for i := range r.Rounds {
		shift := float64(i)
		r.Rounds[i].Tests = append(r.Rounds[i].Tests, response(shift), squelch(shift), distortion(shift),
			reports.Test{Kind: job.KindAudioPower, Name: "second speaker", Result: &analyze.Result{Setup: setup(job.KindAudioPower), Why: "not recorded yet"}})
		r.Rounds[i].Hints = []analyze.Hint{{Name: "reservoir", Evidence: []note.Note{note.Of("hum-line", note.Hz(100), note.DB(30))}}}
		r.Rounds[i].NotMeasured = []job.NotMeasured{{What: "selectivity", Why: "no second generator"}}
	}
	r.Changes = append(r.Changes,
		reports.Change{Kind: job.KindResponse, Figure: reading(job.FigureTilt, "dB/octave", 1, 0.02), Significant: true},
		reports.Change{Kind: job.KindDistortion, Figure: reading(analyze.THD, "%", 0.002, 0.01)})
	return r
}

func setup(kind string) job.Setup {
	return job.Setup{Kind: kind, Stanza: job.Stanza{Deviation: 1200}, Reading: job.Reading{Filter: job.Filter{Name: job.SpeechBand}}}
}

func used(file, label string, from, to float64, worth ...analyze.Reading) analyze.Used {
	m := Clean(file)
	m.From, m.To = from, to
	return analyze.Used{Label: label, Measured: m, Worth: worth}
}

func line(name, role string, of func(hz float64) float64) analyze.Line {
	l := analyze.Line{Picture: "audio response", Name: name, Role: role, X: analyze.Quantity{Name: "frequency", Unit: "Hz"}, Y: analyze.Quantity{Name: "level, relative to 1 kHz", Unit: "dB"}, LogX: true}
	for _, hz := range []float64{300, 500, 1000, 2000, 3000} {
		y := of(hz)
		l.Points = append(l.Points, analyze.Dot{X: hz, Y: y, Low: y - 0.1, High: y + 0.1})
	}
	return l
}

func response(shift float64) reports.Test {
	tilt := reading(job.FigureTilt, "dB/octave", -1+shift, 0.01)
	l := job.Limit{Name: "tilt", Quantity: job.FigureTilt, Bound: job.AtLeast, Value: -0.5, Unit: "dB/octave", Typed: "-0.5 dB/octave", Source: "invented standard", Standing: job.Memory}
	outcome := limit.Fail
	if shift > 0 {
		outcome = limit.Pass
	}
	octaves := func(hz float64) float64 { return math.Log2(hz / 1000) }
	return reports.Test{Kind: job.KindResponse, Judged: []limit.Judged{{Figure: tilt, Verdict: limit.Verdict{Outcome: outcome, Limit: l, Rule: job.Guarded}}}, Result: &analyze.Result{
		Setup: setup(job.KindResponse), Figures: []analyze.Reading{tilt, {Name: job.FigureEdgeLow, Unit: "Hz", Why: "no fall by 3 dB between the tones"}},
		Rows: []analyze.Used{used("tones.wav", "", 0, 9)},
		Lines: []analyze.Line{line("response", analyze.RoleCurve, func(hz float64) float64 { return (shift - 1) * octaves(hz) }),
			line("as it should be", analyze.RoleIdeal, func(float64) float64 { return 0 }),
			line("mask, upper", analyze.RoleUpper, func(float64) float64 { return 1 }), line("mask, lower", analyze.RoleLower, func(float64) float64 { return -3 })},
		Says: []note.Note{note.Phrase("It is even.")},
	}}
}

func squelch(shift float64) reports.Test {
	closing := reading(job.QuantityClosing, "ms", 151+shift, 1.3)
	l := analyze.Line{Picture: "sound in time", Name: "level", Role: analyze.RoleCurve, X: analyze.Quantity{Name: "time", Unit: "s"}, Y: analyze.Quantity{Name: "level", Unit: "dB"}}
	for i := range 100 {
		y := -80.0
		if i >= 20 && i < 60 {
			y = -38
		}
		l.Points = append(l.Points, analyze.Dot{X: float64(i) / 50, Y: y, Low: y, High: y})
	}
	noisy := "the noise changes by -5.3 dB at 2.46 s"
	first, second := used("squelch.wav", "1 \u00b5V PD", 0, 2, reading(analyze.SINAD, "dB", 20, 0.2)), used("squelch.wav", "2 \u00b5V PD", 2, 4, reading(analyze.SINAD, "dB", 22, 0.2))
	first.Measured.Warnings = []capture.Warning{{Code: capture.Unsteady, Says: note.Phrase(noisy)}}
	second.Measured.Warnings = []capture.Warning{{Code: capture.Unsteady, Says: note.Phrase(noisy)}, {Code: capture.Unsteady, Says: note.Phrase("the noise changes by +3.1 dB at 3.10 s")}}
	return reports.Test{Kind: job.KindSquelch, Result: &analyze.Result{Setup: setup(job.KindSquelch), Figures: []analyze.Reading{closing},
		Rows: []analyze.Used{first, second}, Lines: []analyze.Line{l},
		Events: []analyze.Event{{What: "open", AtS: 0.4, UntilS: 1.2, Readings: []analyze.Reading{closing}}, {What: "open", AtS: 1.9, NoEnd: true, UntilS: 2}},
	}}
}

func distortion(shift float64) reports.Test {
	thd := reading(analyze.THD, "%", 1.5+0.002*shift, 0.01)
	l := analyze.Line{Picture: analyze.SpectrumPicture, Name: "level of lines", Role: analyze.RoleCurve, X: analyze.Quantity{Name: "frequency", Unit: "Hz"}, Y: analyze.Quantity{Name: "level", Unit: "dBFS"}, LogX: true}
	for i := range 60 {
		hz := 50 * math.Pow(1.1, float64(i))
		l.Points = append(l.Points, analyze.Dot{X: hz, Y: -90, Low: -90, High: -90})
	}
	mark := l
	mark.Role, mark.Name, mark.Points = analyze.RoleMark, "tone", []analyze.Dot{{X: 1000, Y: -18, Low: -18, High: -18}}
	return reports.Test{Kind: job.KindDistortion, Result: &analyze.Result{Setup: setup(job.KindDistortion), Figures: []analyze.Reading{thd}, Rows: []analyze.Used{used("strong.wav", "1 mV PD", 0, 5)}, Lines: []analyze.Line{l, mark}}}
}

// typedTest is a test of another kind with a text of its own in every place where
// somebody may have typed one, or a file brought one along.
func typedTest(own func() string) reports.Test {
	t := distortion(0)
	t.Name = own()
	r := *t.Result
	r.Setup.Note, r.Says = own(), []note.Note{note.Phrase(own())}
	r.Figures = append(r.Figures, analyze.Reading{Name: analyze.SINAD, Unit: "dB", Why: analyze.Why(own())})
	r.Rows = []analyze.Used{used(own(), own(), 0, 1, reading(analyze.SINAD, "dB", 20, 1)), used("strong.wav", "", 1, 2, reading(analyze.SINAD, "dB", 20, 1))}
	r.Rows[1].Measured.Warnings = []capture.Warning{{Code: capture.Clipped, Says: note.Phrase(own())}}
	r.Events = []analyze.Event{{What: own(), AtS: 1, UntilS: 2}}
	t.Result = &r
	return t
}

func typedHint(own func() string) analyze.Hint {
	return analyze.Hint{Name: "reservoir", Evidence: []note.Note{note.Phrase(own())}}
}
