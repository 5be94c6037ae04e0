package reports

import "hisspoint/capture/job"

// Limits is the record of limit profiles: all of them, or the one that was
// asked for.
type Limits struct {
	Version  string
	Profiles []job.Profile
}

// conditionsJSON are the conditions of a limit that ask for something.
func conditionsJSON(c job.Conditions) object {
	o := object{}
	if c.Criterion.Quantity != "" {
		o = append(o, member{"criterion", criterionJSON(c.Criterion)})
	}
	for _, m := range []struct{ key, text string }{{"filter", c.Filter}, {"mode", c.Mode}, {"level_kind", c.Kind}} {
		if m.text != "" {
			o = append(o, member{m.key, m.text})
		}
	}
	for _, m := range []struct {
		key   string
		value float64
	}{{"tone_hz", c.ToneHz}, {"deviation_hz", c.Deviation}, {"depth_percent", c.Depth}} {
		if m.value != 0 {
			o = append(o, member{m.key, m.value})
		}
	}
	if c.Level != "" {
		o = append(o, member{"level", c.Level})
	}
	return o
}

// MarshalJSON writes the profiles with every limit, its source and its standing.
func (r Limits) MarshalJSON() ([]byte, error) {
	profiles := []object{}
	for _, p := range r.Profiles {
		limits := []object{}
		for _, l := range p.Limits {
			limits = append(limits, append(jsonLimit(l), member{"conditions", conditionsJSON(l.Conditions)}))
		}
		profiles = append(profiles, object{{"name", p.Name}, {"title", p.Title}, {"limits", limits}})
	}
	return marshal(append(headOf(r.Version, "limits").members(), member{"profiles", profiles}))
}
