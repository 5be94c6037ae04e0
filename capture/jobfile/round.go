package jobfile

import (
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/yamlfile"
	"hisspoint/capture/unit"
)

func (c *converter) round(s *roundShape) (*job.Round, error) {
	if s == nil {
		return nil, nil
	}
	r := &job.Round{}
	var err error
	if r.Tested, err = c.date(s.Tested); err != nil {
		return nil, err
	}
	if r.Conditions, err = c.conditions(s.Conditions); err != nil {
		return nil, err
	}
	for _, t := range s.Tests {
		test, err := c.sensitivity(t.Sensitivity, r.Conditions.LevelKind)
		if err != nil {
			return nil, err
		}
		r.Tests = append(r.Tests, job.Test{Kind: t.kind, Sensitivity: test})
	}
	return r, c.byEye(s, r)
}

func (c *converter) conditions(s conditionsShape) (job.RoundConditions, error) {
	out := job.RoundConditions{
		RFMHz: s.RFMHz.Pointer(), Channel: s.Channel.Value, SupplyVolts: s.SupplyVolts.Pointer(),
		RFPadDB: s.RFPad.Value, RFPadUncertaintyDB: s.RFPadUncertainty.Value, AudioPadDB: s.AudioPad.Value,
		Load: s.Load.Value, LoadOhms: s.LoadOhms.Value, MainsHz: s.MainsHz.Value, Controls: s.Controls.Value,
	}
	for _, b := range []struct {
		v         number
		name      string
		low, high float64
	}{
		{s.RFMHz, "rf_mhz", 0.001, 100000}, {s.SupplyVolts, "supply_volts", 0, 1000}, {s.RFPad, "rf_pad_db", 0, 200},
		{s.RFPadUncertainty, "rf_pad_uncertainty_db", 0, 20}, {s.AudioPad, "audio_pad_db", 0, 120}, {s.LoadOhms, "load_ohms", 0.1, 1e6},
	} {
		if err := c.within(b.v, b.name, b.low, b.high); err != nil {
			return out, err
		}
	}
	if s.MainsHz.Set && s.MainsHz.Value != 50 && s.MainsHz.Value != 60 {
		return out, c.n.ErrorAt(s.MainsHz.At, "mains_hz must be 50 or 60, but here is %g", s.MainsHz.Value)
	}
	var err error
	if out.LevelKind, err = c.kind(s.LevelKind); err != nil {
		return out, err
	}
	if out.S9 = s.S9.Value; s.S9.Set {
		if l, err := unit.ParseLevel(s.S9.Value, out.LevelKind); err != nil || l.Scale != unit.Absolute {
			return out, c.n.ErrorAt(s.S9.At, "s9 %q is no level: write it like 50 uV PD", yamlfile.Short(s.S9.Value))
		}
	}
	return out, nil
}

func (c *converter) sensitivity(s *sensitivityShape, kind unit.LevelKind) (*job.SensitivityTest, error) {
	out := &job.SensitivityTest{}
	var err error
	if out.Criterion, err = job.ParseCriterion(s.Criterion.Value); err != nil {
		return nil, c.n.ErrorAt(s.Criterion.At, "%v", err)
	}
	if out.Filter, err = job.ParseFilter(s.Filter.Value); err != nil {
		return nil, c.n.ErrorAt(s.Filter.At, "%v", err)
	}
	if out.ToneHz, err = c.quantity(s.Tone, unit.ParseFrequency); err != nil {
		return nil, err
	}
	if out.Deviation, err = c.quantity(s.Deviation, unit.ParseFrequency); err != nil {
		return nil, err
	}
	if out.Depth, err = c.quantity(s.Depth, unit.ParsePercent); err != nil {
		return nil, err
	}
	if out.Depth < 0 || out.Depth > 100 {
		return nil, c.n.ErrorAt(s.Depth.At, "depth must be from 0 to 100 %%, but here is %q", s.Depth.Value)
	}
	for _, t := range s.Recordings {
		take, err := c.take(t, kind)
		if err != nil {
			return nil, err
		}
		out.Takes = append(out.Takes, take)
	}
	if len(s.Levels) > 0 || s.File.Set {
		if err := c.stepped(s, kind, out); err != nil {
			return nil, err
		}
	}
	if s.Limit.Set {
		l, err := job.ParseLimit(s.Limit.Value, job.QuantitySensitivity, kind)
		if err != nil {
			return nil, c.n.ErrorAt(s.Limit.At, "%v", err)
		}
		out.Limit, out.LimitText = &l, s.Limit.Value
	}
	return out, nil
}

// stepped takes the levels of one recording in which the generator was stepped.
func (c *converter) stepped(s *sensitivityShape, kind unit.LevelKind, out *job.SensitivityTest) error {
	const how = "one recording with many levels needs file and levels: write levels: [2 uV, 1 uV, 0.5 uV] and file: steps.wav"
	switch {
	case len(s.Levels) == 0 || s.File.Value == "":
		at := s.File.At
		if len(s.Levels) > 0 {
			at = s.Levels[0].At
		}
		return c.n.ErrorAt(at, how)
	case len(s.Recordings) > 0:
		return c.n.ErrorAt(s.File.At, "a test has either recordings, or file with levels: leave one of them out")
	}
	if err := c.local(s.File); err != nil {
		return err
	}
	c.files = append(c.files, s.File)
	out.Stepped = true
	for _, l := range s.Levels {
		level, err := unit.ParseLevel(l.Value, kind)
		if err != nil {
			return c.n.ErrorAt(l.At, "%v", err)
		}
		out.Takes = append(out.Takes, job.Take{Level: level, Typed: l.Value, File: s.File.Value})
	}
	return nil
}

func (c *converter) take(t takeShape, kind unit.LevelKind) (job.Take, error) {
	if t.Level.Value == "" || t.File.Value == "" {
		return job.Take{}, c.n.ErrorAt(t.Pos, "a recording needs its level and its file: write {level: 1 uV, file: rx-1uV.wav}")
	}
	level, err := unit.ParseLevel(t.Level.Value, kind)
	if err != nil {
		return job.Take{}, c.n.ErrorAt(t.Level.At, "%v", err)
	}
	if err := c.local(t.File); err != nil {
		return job.Take{}, err
	}
	if t.From.Set && t.From.Value < 0 {
		return job.Take{}, c.n.ErrorAt(t.From.At, "from must not be below zero: it counts seconds from the start of the file")
	}
	if t.From.Set && !t.To.Set {
		return job.Take{}, c.n.ErrorAt(t.From.At, "from needs to: both count seconds from the start of the file")
	}
	if t.To.Set && t.To.Value <= t.From.Value {
		return job.Take{}, c.n.ErrorAt(t.To.At, "to must be later than from: both count seconds from the start of the file")
	}
	c.files = append(c.files, t.File)
	return job.Take{Level: level, Typed: t.Level.Value, File: t.File.Value, From: t.From.Value, To: t.To.Value}, nil
}

// answers are the words that a check may be answered with.
var answers = map[string]bool{"yes": true, "true": true, "no": false, "false": false}

// byEye takes what the technician read and looked at.
func (c *converter) byEye(s *roundShape, r *job.Round) error {
	for _, m := range s.MeterReadings {
		if m.What.Value == "" || m.Value.Value == "" {
			return c.n.ErrorAt(m.Pos, "a meter reading needs what and value: write {what: supply current, value: 1.2 A}")
		}
		r.MeterReadings = append(r.MeterReadings, job.MeterReading{What: m.What.Value, Value: m.Value.Value,
			Limit: m.Limit.Text.Value, Nominal: m.Limit.Nominal.Value, Within: m.Limit.Within.Value, Note: m.Note.Value})
	}
	for _, k := range s.Checks {
		answer, known := answers[strings.ToLower(k.Answer.Value)]
		if k.What.Value == "" || !known {
			return c.n.ErrorAt(k.Pos, "a check needs what and an answer of yes or no: write {what: air test, answer: yes}")
		}
		r.Checks = append(r.Checks, job.Check{What: k.What.Value, Yes: answer, Note: k.Note.Value})
	}
	for _, m := range s.NotMeasured {
		if m.What.Value == "" || m.Why.Value == "" {
			return c.n.ErrorAt(m.Pos, "an entry of not_measured needs what and why: write {what: squelch, why: no squelch control fitted}")
		}
		r.NotMeasured = append(r.NotMeasured, job.NotMeasured{What: m.What.Value, Why: m.Why.Value})
	}
	return nil
}
