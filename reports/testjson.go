package reports

import (
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/reports/sentence"
)

// object is a test as it stands in a round: its kind and name, then what it gave.
func (t Test) object() object {
	o := object{{"kind", t.Kind}}
	if t.Name != "" {
		o = append(o, member{"name", t.Name})
	}
	if t.Result.Point != nil {
		return append(o, pointBody(t)...)
	}
	return append(o, resultBody(*t.Result, t.Judged)...)
}

// resultBody are the keys of any other test.
func resultBody(r analyze.Result, judged []limit.Judged) object {
	o := object{{"filter", r.Setup.Reading.Filter.String()}}
	if r.Setup.LevelTyped != "" {
		o = append(o, member{"level", levelMembers(r.Setup.Level)})
	}
	if r.Why != "" {
		o = append(o, member{"why", r.Why})
	}
	o = append(o, member{"figures", readings(r.Figures)}, member{"recordings", usedObjects(r.Rows)}, member{"curves", curveObjects(r.Lines)})
	if r.Events != nil {
		o = append(o, member{"events", eventObjects(r.Events)})
	}
	if r.Says != nil {
		o = append(o, member{"remarks", sentence.All(r.Says)})
	}
	verdicts := []any{}
	for _, j := range judged {
		v := append(object{{"figure", j.Figure.Name}}, jsonVerdict(&j.Verdict).(object)...)
		if b, ok := limit.BudgetOf(r, j.Figure); ok {
			v = append(v, member{"budget", budgetObjects(b, j.Figure.Unit)})
		}
		verdicts = append(verdicts, v)
	}
	return append(o, member{"verdicts", verdicts}, member{"warnings", warnings(r.Warnings)})
}

func usedObjects(rows []analyze.Used) []object {
	all := []object{}
	for _, u := range rows {
		all = append(all, append(object{{"label", u.Label}}, measuredMembers(u.Measured, u.Worth)...))
	}
	return all
}

// measuredMembers are the keys of a recording with what the test made of it.
func measuredMembers(m analyze.Measured, worth []analyze.Reading) object {
	return object{{"file", m.Origin.File}, {"sha256", m.Origin.SHA256}, {"channel", m.Origin.Channel}, {"from_s", m.From}, {"to_s", m.To},
		{"readings", readings(slices.Concat(m.Readings, worth))}, {"warnings", warnings(m.Warnings)}}
}

func curveObjects(lines []analyze.Line) []object {
	all := []object{}
	for _, l := range lines {
		points := [][4]float64{}
		for _, p := range l.Points {
			points = append(points, [4]float64{p.X, p.Y, p.Low, p.High})
		}
		all = append(all, object{{"picture", l.Picture}, {"name", l.Name}, {"role", l.Role},
			{"x", object{{"name", l.X.Name}, {"unit", l.X.Unit}}}, {"y", object{{"name", l.Y.Name}, {"unit", l.Y.Unit}}},
			{"points_x_y_low_high", points}})
	}
	return all
}

func eventObjects(events []analyze.Event) []object {
	all := []object{}
	for _, e := range events {
		all = append(all, object{{"what", e.What}, {"at_s", unless(e.NoStart, e.AtS)}, {"until_s", unless(e.NoEnd, e.UntilS)}, {"readings", readings(e.Readings)}})
	}
	return all
}

// unless is a value, or null.
func unless(not bool, v float64) any {
	if not {
		return nil
	}
	return v
}

// changeObjects are the changes between the rounds.
func (j Job) changeObjects() []object {
	all := []object{}
	for _, c := range j.Changes {
		o := object{{"kind", c.Kind}}
		if c.Test != "" {
			o = append(o, member{"name", c.Test})
		}
		all = append(all, append(o, object{{"figure", c.Figure.Name}, {"change", jsonReading(c.Figure)}, {"significant", c.Significant}}...))
	}
	return all
}
