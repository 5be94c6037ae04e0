package reports

import (
	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// levelMembers are the keys of an RF level: dbm and microvolts where it is
// absolute, db where it is relative, off where there was no signal.
func levelMembers(l unit.Level) object {
	switch l.Scale {
	case unit.Absolute:
		return object{{"dbm", l.DB}, {"microvolt_pd", unit.MicrovoltPD(l.DB)}}
	case unit.Relative:
		return object{{"dbm", nil}, {"db", l.DB}}
	}
	return object{{"dbm", nil}, {"off", true}}
}

// jsonRow is one recording of a series, or a stretch of one whose level is not known.
func jsonRow(u analyze.Used, r analyze.Result) object {
	m, o := u.Measured, object{{"dbm", nil}}
	var rs []analyze.Reading
	if r.Point.Status != analyze.StepsMismatch {
		o = levelMembers(u.Level)
		if r.Setup.Criterion.Quantity != analyze.SINAD { // which is among its readings
			rs = u.Worth
		}
	}
	return append(o, measuredMembers(m, rs)...)
}

func jsonPoint(p analyze.Point) object {
	o := object{{"status", p.Status}}
	if p.Status != analyze.Found {
		return append(o, object{{"dbm", nil}, {"low_dbm", nil}, {"high_dbm", nil}, {"microvolt_pd", nil}, {"microvolt_emf", nil}, {"why", p.Why}}...)
	}
	var low, high any = p.Low, p.High
	if p.NoInterval != "" || p.OneSided == "low" {
		low = nil
	}
	if p.NoInterval != "" || p.OneSided == "high" {
		high = nil
	}
	if p.Level.Scale == unit.Absolute {
		o = append(o, object{{"dbm", p.Level.DB}, {"low_dbm", low}, {"high_dbm", high},
			{"microvolt_pd", unit.MicrovoltPD(p.Level.DB)}, {"microvolt_emf", unit.MicrovoltEMF(p.Level.DB)}}...)
	} else {
		o = append(o, object{{"dbm", nil}, {"db", p.Level.DB}, {"low_db", low}, {"high_db", high}}...)
	}
	if p.NoInterval != "" {
		o = append(o, member{"no_interval", p.NoInterval})
	}
	if p.OneSided != "" {
		o = append(o, member{"open_side", p.OneSided})
	}
	shares := object{}
	for _, s := range p.Shares {
		shares = append(shares, member{s.Name, s.DB})
	}
	o = append(o, member{"contributions_db", shares})
	if len(p.ReadsHigh) > 0 {
		high := object{}
		for _, s := range p.ReadsHigh {
			high = append(high, member{s.Name, s.DB})
		}
		o = append(o, member{"reads_high_db", high})
	}
	if len(p.NotStated) > 0 {
		o = append(o, member{"not_stated", p.NotStated})
	}
	return o
}

func jsonLimit(l job.Limit) object {
	o := object{{"name", l.Name}, {"quantity", l.Quantity}, {"bound", l.Bound}, {"value", l.Value}, {"unit", l.Unit}}
	for _, m := range []struct{ key, text string }{
		{"typed", l.Typed}, {"profile", l.Profile}, {"source", l.Source}, {"clause", l.Clause}, {"standing", l.Standing}, {"note", l.Note},
	} {
		if m.text != "" {
			o = append(o, member{m.key, m.text})
		}
	}
	return o
}

// jsonVerdict is nil, and so null, without a limit.
func jsonVerdict(v *limit.Verdict) any {
	if v == nil {
		return nil
	}
	o := object{{"outcome", v.Outcome}, {"limit", jsonLimit(v.Limit)}, {"margin_db", v.MarginDB}, {"rule", v.Rule}}
	if v.Expanded > 0 {
		o = append(o, member{"repeatability", v.Repeats}, member{"uncertainty", v.Expanded})
	}
	if len(v.Assumed) > 0 {
		var names []string
		for _, c := range v.Assumed {
			names = append(names, c.Name)
		}
		o = append(o, member{"assumed", names})
	}
	if v.Why != "" {
		o = append(o, member{"why", v.Why})
	}
	if v.Note != "" {
		o = append(o, member{"note", v.Note})
	}
	return o
}

type criterionJSON struct {
	Quantity string  `json:"quantity"`
	Value    float64 `json:"value"`
	Unit     string  `json:"unit"`
}

// pointBody are the keys of a test that is after a point.
func pointBody(t Test) object {
	r := *t.Result
	rows := []object{}
	for _, u := range r.Rows {
		rows = append(rows, jsonRow(u, r))
	}
	o := object{{"criterion", criterionJSON(r.Setup.Criterion)}, {"filter", r.Setup.Reading.Filter.String()}, {"point", jsonPoint(*r.Point)}, {"series", rows}}
	if b, ok := limit.BudgetOf(r, r.Get(job.QuantitySensitivity)); ok {
		o = append(o, member{"budget", budgetObjects(b, "dB")})
	}
	return append(o, object{{"verdict", jsonVerdict(t.Verdict())}, {"warnings", warnings(r.Warnings)}}...)
}

func (h head) members() object {
	return object{{"schema", h.Schema}, {"tool", h.Tool}, {"version", h.Version}, {"command", h.Command}}
}

// MarshalJSON writes the record of a job with its rounds.
func (r Job) MarshalJSON() ([]byte, error) {
	rounds := object{}
	for _, round := range r.Rounds {
		tests := []object{}
		for _, t := range round.Tests {
			tests = append(tests, t.object())
		}
		rounds = append(rounds, member{round.Name, append(object{{"tests", tests}}, round.byEye()...)})
	}
	o := append(headOf(r.Version, "report").members(), object{{"job", r.Facts}, {"rounds", rounds}, {"changes", r.changeObjects()}, {"verdict", r.verdict()}}...)
	if r.Issue != nil {
		o = append(o, member{"issue", r.Issue.object()})
	}
	return marshal(o)
}
