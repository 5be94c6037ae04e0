package jobfile

import (
	"math"
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
	if err = c.channel(s.Channel); err != nil {
		return nil, err
	}
	r.Channel = int(s.Channel.Value)
	if r.Conditions, err = c.conditions(s.Conditions); err != nil {
		return nil, err
	}
	for _, t := range s.Tests {
		test, err := c.test(t, r.Conditions.LevelKind)
		if err != nil {
			return nil, err
		}
		r.Tests = append(r.Tests, test)
	}
	if err := c.apart(s.Tests); err != nil {
		return nil, err
	}
	return r, c.byEye(s, r)
}

// mostChannels is more than sound cards on a bench have.
const mostChannels = 64

// channel checks the number of a channel of the recordings.
func (c *converter) channel(n number) error {
	if v := n.Value; n.Set && (v != math.Trunc(v) || v < 1 || v > mostChannels) {
		return c.n.ErrorAt(n.At, "channel is the number of a channel of the recordings, 1 or 2, but here is %g; the set's radio channel is a condition", v)
	}
	return nil
}

func (c *converter) conditions(s conditionsShape) (job.RoundConditions, error) {
	out := job.RoundConditions{
		RFMHz: s.RFMHz.Pointer(), Channel: s.Channel.Value, SupplyVolts: s.SupplyVolts.Pointer(), TemperatureC: s.TemperatureC.Pointer(),
		AudioPadDB: s.AudioPad.Value, InputGain: s.InputGain.Value,
		Load: s.Load.Value, LoadOhms: s.LoadOhms.Value, LoadPercent: s.LoadUncertainty.Value, ReconnectDB: s.Reconnect.Value, MainsHz: s.MainsHz.Value, Controls: s.Controls.Value,
	}
	for _, b := range []struct {
		v         number
		name      string
		low, high float64
	}{
		{s.RFMHz, "rf_mhz", 0.001, 100000}, {s.SupplyVolts, "supply_volts", 0, 1000}, {s.TemperatureC, "temperature_c", -60, 100},
		{s.AudioPad, "audio_pad_db", 0, 120}, {s.LoadOhms, "load_ohms", 0.1, 1e6},
	} {
		if err := c.within(b.v, b.name, b.low, b.high); err != nil {
			return out, err
		}
	}
	for _, b := range []tolerance{{s.LoadUncertainty, "load_uncertainty_percent", 100}, {s.Reconnect, "reconnect_uncertainty_db", 20}} {
		if err := c.tolerable(b); err != nil {
			return out, err
		}
	}
	if err := c.mains(s.MainsHz); err != nil {
		return out, err
	}
	dial, err := c.dial(s.LevelKind, s.RFPad, s.RFPadUncertainty)
	if err != nil {
		return out, err
	}
	out.LevelKind, out.RFPadDB, out.NoRFPad, out.RFPadUncertaintyDB = dial.LevelKind, dial.PadDB, dial.NoPad, dial.PadUncertaintyDB
	out = c.job.Shop.Conditions(out)
	if out.Source, err = c.source(s.Source); err != nil {
		return out, err
	}
	if out.S9 = s.S9.Value; s.S9.Set {
		if l, err := unit.ParseLevel(s.S9.Value, out.LevelKind); err != nil || l.Scale != unit.Absolute {
			return out, c.n.ErrorAt(s.S9.At, "s9 %q is not a level: write it like 50 uV PD", yamlfile.Short(s.S9.Value))
		}
	}
	return out, nil
}

// answers are the words that a check may be answered with.
var answers = map[string]bool{"yes": true, "true": true, "no": false, "false": false}

// byEye takes what the technician read and looked at.
func (c *converter) byEye(s *roundShape, r *job.Round) error {
	for _, m := range s.MeterReadings {
		if m.What.Value == "" {
			return c.n.ErrorAt(m.Pos, "a meter reading needs what: write {what: supply current, value: 1.2 A}")
		}
		r.MeterReadings = append(r.MeterReadings, job.MeterReading{What: m.What.Value, Value: m.Value.Value,
			Limit: m.Limit.Text.Value, Nominal: m.Limit.Nominal.Value, Within: m.Limit.Within.Value, Note: m.Note.Value})
	}
	for _, k := range s.Checks {
		answer, known := answers[strings.ToLower(k.Answer.Value)]
		open := k.Answer.Value == ""
		if k.What.Value == "" || !known && !open {
			return c.n.ErrorAt(k.Pos, "a check needs what, and yes or no as its answer once there is one: write {what: air test, answer: yes}")
		}
		r.Checks = append(r.Checks, job.Check{What: k.What.Value, Yes: answer, Open: open, Note: k.Note.Value})
	}
	for _, m := range s.NotMeasured {
		if m.What.Value == "" || m.Why.Value == "" {
			return c.n.ErrorAt(m.Pos, "an entry of not_measured needs what and why: write {what: squelch, why: no squelch control fitted}")
		}
		r.NotMeasured = append(r.NotMeasured, job.NotMeasured{What: m.What.Value, Why: m.Why.Value})
	}
	return nil
}
