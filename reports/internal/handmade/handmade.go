// Package handmade holds results written by hand, for tests of records and
// documents: every figure in it is invented, none was measured. Only tests
// import it.
package handmade

import (
	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
	"hisspoint/reports"
)

func reading(name, u string, value, half float64) analyze.Reading {
	return analyze.Reading{Name: name, Unit: u, Value: value, Low: value - half, High: value + half}
}

// Clean is a recording with nothing wrong.
func Clean(file string) analyze.Measured {
	return analyze.Measured{
		Origin: capture.Origin{File: file, SHA256: "00ff", Container: "riff", Encoding: "pcm", Bits: 16, Channel: 1, Channels: 1},
		Rate:   48000, Frames: 480000, From: 0, To: 10, Filter: job.Filter{Name: job.SpeechBand},
		Readings: []analyze.Reading{
			reading(analyze.Level, "dBFS", -17.987, 0.0081),
			{Name: analyze.Peak, Unit: "dBFS", Value: -16.23, NoInterval: "a largest sample has no interval"},
			{Name: analyze.DCOffset, Unit: "FS", Value: 0.00051, Low: 0.0005, High: 0.00052},
			reading(analyze.NoiseLevel, "dBFS", -41.153, 0.081),
			reading(analyze.ToneFrequency, "Hz", 999.96497, 0.000093),
			reading(analyze.ToneLevel, "dBFS", -18.011, 0.0082),
			{Name: analyze.THD, Unit: "%", Value: 1.51, Low: 1.31, High: 1.66},
			reading(analyze.SINAD, "dB", 22.957, 0.21),
			reading(analyze.THDN, "%", 7.114, 0.17),
			reading(analyze.SNR, "dB", 23.14, 0.213),
			reading(analyze.HumLevel, "dBFS", -70.12, 0.6),
			{Name: analyze.HumFrequency, Unit: "Hz", Value: 50.003, NoInterval: "the mains wander"},
		},
		Harmonics: []analyze.Harmonic{{Order: 2, Percent: 1.18}, {Order: 3, Percent: 0.94}, {Order: 4, Percent: 0.001}},
		HumLines:  []analyze.HumLine{{FrequencyHz: 50, LevelDBFS: -79.9}, {FrequencyHz: 100, LevelDBFS: -70.6}},
	}
}

// NoTone is a recording of hiss, of the second of two channels, part of it
// used, in which a tone stands where none was looked for.
func NoTone(file string) analyze.Measured {
	m := Clean(file)
	m.Origin.Channel, m.Origin.Channels = 2, 2
	m.From, m.To = 1.5, 6
	m.Harmonics, m.HumLines, m.OtherTone = nil, nil, 400.02
	m.Readings = []analyze.Reading{
		reading(analyze.Level, "dBFS", -10.5, 0.14),
		reading(analyze.NoiseLevel, "dBFS", -12.52, 0.16),
		{Name: analyze.ToneFrequency, Unit: "Hz", Why: "tone-missing"},
		{Name: analyze.ToneLevel, Unit: "dBFS", Why: "tone-missing"},
		{Name: analyze.SINAD, Unit: "dB", Why: "tone-missing"},
		{Name: analyze.THD, Unit: "%", Why: "tone-missing"},
		{Name: analyze.HumLevel, Unit: "dBFS", High: -40.44, Why: analyze.WhyNoLine, Bounded: true},
	}
	m.Warnings = []capture.Warning{{Code: capture.Clipped, Says: note.Phrase("12 samples are clipped: turn the input down"), AtS: []float64{1.25, 3.5, 3.75, 4, 4.5, 5}}}
	return m
}

// Measure is a record of both and of a file that could not be read.
func Measure() reports.Measure {
	return reports.Measure{Version: "1.2.3", Filter: job.Filter{Name: job.SpeechBand}, Recordings: []reports.Recording{
		{File: "clean.wav", Measured: Clean("clean.wav")},
		{File: "missing.wav", Error: "no such file; check the name and the folder"},
		{File: "folder/no <tone> & two.wav", Measured: NoTone("folder/no <tone> & two.wav")},
	}}
}

// row is one level of a series.
func row(dbm float64, file string, sinad, half, audio float64) analyze.Used {
	m := Clean(file)
	for i, r := range m.Readings {
		switch r.Name {
		case analyze.SINAD:
			m.Readings[i] = reading(analyze.SINAD, "dB", sinad, half)
		case analyze.ToneLevel:
			m.Readings[i] = reading(analyze.ToneLevel, "dBFS", audio, 0.05)
		}
	}
	return analyze.Used{Level: unit.DBm(dbm), Take: job.Take{Level: unit.DBm(dbm), File: file}, Measured: m, Worth: []analyze.Reading{m.Get(analyze.SINAD)}}
}

// Sensitivity is a series of five levels that crosses 12 dB at 0.309 µV PD and
// passes.
func Sensitivity() reports.Test {
	lost := NoTone("0.1uV.wav")
	rows := []analyze.Used{
		{Level: unit.DBm(-126.99), Take: job.Take{File: "0.1uV.wav"}, Measured: lost, Worth: []analyze.Reading{lost.Get(analyze.SINAD)}},
		row(-120.97, "0.2uV.wav", 5.31, 0.44, -19.8),
		row(-114.95, "0.4uV.wav", 15.22, 0.21, -18.4),
		row(-106.99, "1uV.wav", 22.96, 0.08, -18.02),
		row(-46.99, "1mV.wav", 36.3, 0.012, -18.0),
	}
	uncertainty := 1.0
	l := job.Limit{Name: "sensitivity", Quantity: job.QuantitySensitivity, Bound: job.AtMost, Value: -113.0103, Unit: "dBm",
		Typed: "0.5 \u00b5V PD", Source: "service manual", Standing: job.User}
	margin := 4.19
	r := analyze.Result{Rows: rows, Setup: job.Setup{Kind: job.KindSensitivity, Reading: job.Reading{Filter: job.Filter{Name: job.SpeechBand}},
		Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}, Limits: []job.Limit{l}},
		Path:   job.RFPath{LevelUncertainty: &uncertainty}, LevelKind: unit.PD, Decide: job.Guarded}}
	t := reports.Test{Kind: job.KindSensitivity, Result: &r, Judged: []limit.Judged{{Verdict: limit.Verdict{Outcome: limit.Pass, Limit: l, Rule: job.Guarded, MarginDB: &margin}}}}
	return With(t, func(p *analyze.Point) {
		*p = analyze.Point{Status: analyze.Found, Level: unit.DBm(-117.2), Low: -118.38, High: -116.02,
			Shares: []analyze.Share{{Name: "readings", DB: 0.15}, {Name: "generator", DB: 0.58}, {Name: "pad", DB: 0}}}
	})
}

// With is a test with another point.
func With(t reports.Test, change func(p *analyze.Point)) reports.Test {
	p := analyze.Point{}
	if t.Result.Point != nil {
		p = *t.Result.Point
	}
	change(&p)
	r := t.Result.WithPoint(p)
	t.Result = &r
	return t
}

// Job is a record of two rounds, 10 dB apart.
func Job() reports.Job {
	left, found := Sensitivity(), Sensitivity()
	found = With(found, func(p *analyze.Point) { p.Level, p.Low, p.High = unit.DBm(-107.2), -108.38, -106.02 })
	margin := -5.81
	found.Judged[0].Verdict = limit.Verdict{Outcome: limit.Fail, Limit: left.Verdict().Limit, Rule: job.Guarded, MarginDB: &margin}
	return reports.Job{Version: "1.2.3",
		Facts:   reports.Facts{Job: "0000", Set: "invented set", Fault: "deaf", Simulated: "invented and simulated"},
		Rounds:  []reports.Round{{Name: reports.AsFound, Tests: []reports.Test{found}}, {Name: reports.AsLeft, Tests: []reports.Test{left}}},
		Changes: []reports.Change{{Kind: job.KindSensitivity, Figure: reading(job.QuantitySensitivity, "dB", 10, 0.28)}},
	}
}
