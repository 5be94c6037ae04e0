package reports

import (
	"hisspoint/analyze/limit"
	"hisspoint/reports/sentence"
)

// byEye are the keys of a round for what no recording told.
func (r Round) byEye() object {
	readings, checks, left := []object{}, []object{}, []object{}
	for _, m := range r.ByEye {
		o := object{{"what", m.What}, {"value", m.Value}, {"read", "by eye"}, {"verdict", jsonVerdict(m.Verdict)}}
		readings = append(readings, noted(o, m.Note))
	}
	for _, c := range r.Checks {
		var answer any = c.Yes
		if c.Open {
			answer = nil
		}
		checks = append(checks, noted(object{{"what", c.What}, {"answer", answer}}, c.Note))
	}
	for _, n := range r.NotMeasured {
		left = append(left, object{{"what", n.What}, {"why", n.Why}})
	}
	hints := []object{}
	for _, h := range r.Hints {
		is := sentence.HintOf(h.Name, h.As)
		hints = append(hints, object{{"name", h.Name}, {"text", is.Text}, {"evidence", sentence.All(h.Evidence)}, {"first", is.First}, {"also", is.Also}, {"source", sentence.HintSource}})
	}
	o := object{{"meter_readings", readings}, {"checks", checks}, {"not_measured", left}, {"hints", hints}, {"overall", jsonOverall(r.Overall)}}
	if r.Card != nil {
		o = append(o, member{"card", object{{"name", r.Card.Name}, {"qualified", r.Card.At}}})
	}
	if len(r.Warnings) > 0 {
		o = append(o, member{"warnings", warnings(r.Warnings)})
	}
	return o
}

func noted(o object, note string) object {
	if note != "" {
		o = append(o, member{"note", note})
	}
	return o
}

// jsonOverall is nil, and so null, where nothing was held against a limit.
func jsonOverall(v limit.Overall) any {
	if v.Outcome == "" {
		return nil
	}
	reasons := v.Reasons
	if reasons == nil {
		reasons = []string{}
	}
	return object{{"outcome", v.Outcome}, {"reasons", reasons}}
}

// object is what a report went out as; what does not apply is left out.
func (i Issue) object() object {
	o := object{{"date", i.Date}}
	if i.Draft {
		return append(o, member{"draft", true})
	}
	o = append(o, member{"revision", i.Revision})
	if i.Replaces > 0 {
		o = append(o, member{"replaces", object{{"revision", i.Replaces}, {"date", i.ReplacesDate}, {"why", i.Why}}})
	}
	return o
}

// verdict is that of the job: of its newest round, which it names.
func (j Job) verdict() any {
	n := j.Newest()
	if n == nil || n.Overall.Outcome == "" {
		return nil
	}
	return append(object{{"round", n.Name}}, jsonOverall(n.Overall).(object)...)
}
