package reports

import (
	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// Squelch is the record of `squelch --json`: a test of that kind as one command
// gives it.
type Squelch struct {
	Version string
	Test    Test
}

// MarshalJSON writes the record in the shape of `squelch --json`: what is not
// known (an edge that the recording does not hold, a time to open without key
// times) is null.
func (s Squelch) MarshalJSON() ([]byte, error) {
	r := *s.Test.Result
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
	o := append(headOf(s.Version, "squelch").members(), object{{"file", r.Rows[0].Measured.Origin.File}, {"events", events},
		{"chatter", unless(!r.Get(job.FigureChatter).OK(), r.Get(job.FigureChatter).Value)}}...)
	if r.Why != "" {
		o = append(o, member{"why", r.Why})
	}
	body := resultBody(r, s.Test.Judged)
	for _, key := range []string{"figures", "verdicts", "warnings"} {
		for _, m := range body {
			if m.key == key {
				o = append(o, m)
			}
		}
	}
	return marshal(o)
}
