package reports

import (
	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// MarshalJSON writes the record in the shape of its command.
func (s Single) MarshalJSON() ([]byte, error) {
	if s.Test.Result.Point != nil {
		return marshal(append(headOf(s.Version, "sensitivity").members(), pointBody(s.Test)...))
	}
	return marshal(append(headOf(s.Version, "squelch").members(), squelchBody(s.Test)...))
}

// squelchBody has null for what is not known: an edge that the recording does not
// hold, a time to open without key times.
func squelchBody(t Test) object {
	r := *t.Result
	events := []object{}
	for _, e := range r.Events {
		o := object{{"opened_s", unless(e.NoStart, e.AtS)}, {"closed_s", unless(e.NoEnd, e.UntilS)}}
		for _, x := range e.Readings {
			switch {
			case x.Name == analyze.SINAD:
				o = append(o, member{x.Name, jsonReading(x)})
			default:
				o = append(o, member{x.Name + "_ms", unless(!x.OK(), x.Value)})
			}
		}
		events = append(events, o)
	}
	o := object{{"file", r.Rows[0].Measured.Origin.File}, {"events", events},
		{"chatter", unless(!r.Get(job.FigureChatter).OK(), r.Get(job.FigureChatter).Value)}}
	if r.Why != "" {
		o = append(o, member{"why", r.Why})
	}
	body := resultBody(r, t.Judged)
	for _, key := range []string{"figures", "verdicts", "warnings"} {
		for _, m := range body {
			if m.key == key {
				o = append(o, m)
			}
		}
	}
	return o
}
