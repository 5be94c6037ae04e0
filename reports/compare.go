package reports

import (
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/change"
	"hisspoint/capture/job"
)

// Compare is the record of rounds side by side: two of one job, one of each of
// two jobs, or one of each of several, of which the last is held against the
// spread of all before it.
type Compare struct {
	Version     string
	Sides       []Side
	Shared      string // what both sides share and so cancels, for people; empty: nothing
	Differences []Difference
}

// Side is one of what is compared.
type Side struct {
	Label string // "as found", "job 0417", ...
	Facts Facts
	Round Round
}

// Difference is one figure of the sides. With two sides it has a change, with
// more a spread.
type Difference struct {
	Kind, Test, Figure string
	Values             []analyze.Reading // one a side, in their order
	Change             *analyze.Reading  // last less first; of a sensitivity in dB, positive: more sensitive
	Significant        bool
	Spread             *analyze.Spread
	Why                string // not compared, and why
}

// Level units, which hang on the gain that a sound card was set to.
const fullScaleUnit = "dBFS"

// CompareRounds compares the two rounds of a job with the changes that its record holds.
func CompareRounds(r Job) Compare {
	c := Compare{Version: r.Version, Shared: "generator, pad and sound card are the same in both rounds and cancel"}
	for _, round := range r.Rounds {
		c.Sides = append(c.Sides, Side{Label: strings.ReplaceAll(round.Name, "_", " "), Facts: r.Facts, Round: round})
	}
	for _, moved := range r.Changes {
		d := Difference{Kind: moved.Kind, Test: moved.Test, Figure: moved.Figure.Name, Significant: moved.Significant}
		figure := moved.Figure
		d.Change = &figure
		for _, s := range c.Sides {
			d.Values = append(d.Values, s.value(d.Kind, d.Test, d.Figure))
		}
		c.Differences = append(c.Differences, d)
	}
	if !c.Any() {
		c.reasons()
	}
	return c
}

// reasons adds the first figure of each test of the last side with why it was not
// compared.
func (c *Compare) reasons() {
	before, after := c.Sides[0], c.Sides[len(c.Sides)-1]
	for _, t := range after.Round.Tests {
		d := Difference{Kind: t.Kind, Test: t.Name, Figure: figuresOf(t)[0]}
		if slices.ContainsFunc(c.Differences, func(o Difference) bool { return o.Kind == d.Kind && o.Test == d.Test && o.Figure == d.Figure }) {
			continue
		}
		old := before.Round.Find(t.Kind, t.Name)
		for _, s := range c.Sides {
			d.Values = append(d.Values, s.value(d.Kind, d.Test, d.Figure))
		}
		switch was, is := d.Values[0], d.Values[len(d.Values)-1]; {
		case !is.OK():
			d.Why = after.Label + ": " + string(is.Why)
		case !was.OK():
			d.Why = before.Label + ": " + string(was.Why)
		default:
			d.Why = alikeFor(old, &t, d.Figure)
		}
		if d.Why == "" {
			d.Why = "the two are not on one scale"
		}
		c.Differences = append(c.Differences, d)
	}
}

// CompareJobs compares a round of each of several jobs. sameGenerator and sameCard
// say that all of them were measured with one generator, and one sound card at one
// gain.
func CompareJobs(version string, sides []Side, sameGenerator, sameCard bool) Compare {
	c := Compare{Version: version, Sides: sides}
	if sameGenerator {
		c.Shared = "the generator has one serial number and calibration in all jobs, so its level and deviation cancel"
	}
	last := sides[len(sides)-1]
	for _, t := range last.Round.Tests {
		for _, figure := range figuresOf(t) {
			d := Difference{Kind: t.Kind, Test: t.Name, Figure: figure}
			for _, s := range sides {
				d.Values = append(d.Values, s.value(t.Kind, t.Name, figure))
			}
			d.fill(sides, sameGenerator, sameCard)
			c.Differences = append(c.Differences, d)
		}
	}
	return c
}

func figuresOf(t Test) []string {
	var names []string
	for _, f := range t.Result.Figures {
		names = append(names, f.Name)
	}
	if len(names) == 0 { // so that it can be said why
		names = []string{t.Kind}
		if k, _ := job.KindOf(t.Kind); len(k.Limits) > 0 {
			names = []string{k.Limits[0]}
		}
	}
	return names
}

// value is a figure of a side; of a sensitivity its level.
func (s Side) value(kind, name, figure string) analyze.Reading {
	t := s.Round.Find(kind, name)
	switch {
	case t == nil:
		return analyze.Reading{Name: figure, Why: "not tested"}
	case t.Result.Why != "":
		return analyze.Reading{Name: figure, Why: analyze.Why(t.Result.Why)}
	}
	f := t.Result.Get(figure)
	if t.Result.Point != nil && f.NoInterval != "" { // why stands with the point
		f.NoInterval = "the point has no closed interval"
	}
	return f
}

// fill finds the change or the spread, or why there is none.
func (d *Difference) fill(sides []Side, sameGenerator, sameCard bool) {
	this := d.Values[len(d.Values)-1]
	var tests []*Test
	var earlier []float64
	for i, s := range sides {
		tests = append(tests, s.Round.Find(d.Kind, d.Test))
		if v := d.Values[i]; i+1 < len(sides) && v.OK() && v.Unit == this.Unit && alikeFor(tests[i], sides[len(sides)-1].Round.Find(d.Kind, d.Test), d.Figure) == "" {
			earlier = append(earlier, v.Value)
		}
	}
	switch {
	case !this.OK():
		d.Why = string(this.Why)
	case this.Unit == fullScaleUnit && !sameCard:
		d.Why = "levels in dBFS hang on the gain: state one sound card with one serial and input gain in all jobs"
	case len(sides) > 2:
		s := change.SpreadOf(earlier, this.Value)
		d.Spread = &s
	default:
		d.change(tests, sameGenerator)
	}
}

func (d *Difference) change(tests []*Test, sameGenerator bool) {
	before, after := tests[0], tests[1]
	if d.Why = alikeFor(before, after, d.Figure); d.Why != "" {
		return
	}
	var moved analyze.Reading
	ok := false
	if a, b := before.Result.Point, after.Result.Point; a != nil && b != nil {
		moved, ok = change.Between(*a, *b, sameGenerator)
	} else {
		moved, ok = analyze.ChangeOf(d.Values[0], d.Values[1])
	}
	if !ok {
		d.Why = "the other has none: " + string(d.Values[0].Why)
		return
	}
	d.Change, d.Significant = &moved, analyze.Significant(moved)
}

// alikeFor says why two tests cannot be compared by one figure, which may hold for one
// level of the signal only; empty if they can.
func alikeFor(before, after *Test, figure string) string {
	if before == nil || after == nil {
		return "the other has no such test"
	}
	x, y := before.Result.Setup, after.Result.Setup
	switch {
	case x.Criterion.Label() != y.Criterion.Label():
		return "the criteria differ"
	case x.Reading.Filter.String() != y.Reading.Filter.String():
		return "the filters differ"
	case x.Deviation != y.Deviation || x.Depth != y.Depth:
		return "the modulation differs"
	}
	if why := change.Unlike(x, y); why != "" {
		return why
	}
	return change.OtherLevel(x, y, figure)
}

// MarshalJSON writes the record in the shape of `compare --json`.
func (c Compare) MarshalJSON() ([]byte, error) {
	o := object{{"schema", Schema}, {"tool", Tool}, {"version", c.Version}, {"command", "compare"}}
	sides, all := []object{}, []object{}
	for _, s := range c.Sides {
		sides = append(sides, object{{"label", s.Label}, {"job", s.Facts.Job}, {"set", s.Facts.Set}, {"round", s.Round.Name}})
	}
	for _, d := range c.Differences {
		all = append(all, d.object())
	}
	return marshal(append(o, object{{"sides", sides}, {"shared", c.Shared}, {"differences", all}}...))
}

func (d Difference) object() object {
	o := object{{"kind", d.Kind}}
	if d.Test != "" {
		o = append(o, member{"name", d.Test})
	}
	values := []readingJSON{}
	for _, v := range d.Values {
		values = append(values, jsonReading(v))
	}
	o = append(o, object{{"figure", d.Figure}, {"values", values}}...)
	if d.Change != nil {
		o = append(o, object{{"change", jsonReading(*d.Change)}, {"significant", d.Significant}}...)
	}
	if s := d.Spread; s != nil {
		spread := object{{"count", s.Count}}
		if s.Count > 0 {
			spread = append(spread, member{"mean", s.Mean})
		}
		if s.Why == "" {
			spread = append(spread, object{{"standard_deviation", s.SD}, {"expected_low", s.Low}, {"expected_high", s.High}, {"outside", s.Outside}}...)
		} else {
			spread = append(spread, member{"why", s.Why})
		}
		o = append(o, member{"spread", spread})
	}
	if d.Why != "" {
		o = append(o, member{"why", d.Why})
	}
	return o
}

// Any tells whether anything was compared. The mains frequency is the same
// everywhere and tells nothing of a set.
func (c Compare) Any() bool {
	for _, d := range c.Differences {
		if d.Figure != analyze.HumFrequency && (d.Change != nil || d.Spread != nil && d.Spread.Count > 0) {
			return true
		}
	}
	return false
}
