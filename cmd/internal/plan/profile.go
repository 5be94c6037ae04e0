package plan

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// For is the round that a plan asks for in a mode, measured as the limit
// profiles want it: their criterion, filter, tone, deviation and depth, so that
// what is recorded by it can be judged. Where no test of a short plan would be,
// those that the profiles have limits for are added.
func For(plan, mode string, profiles []job.Profile) (job.Round, error) {
	r, err := bare(plan, mode)
	if err != nil {
		return r, err
	}
	if mode == "" {
		mode = job.FM
	}
	p := profilePlan{round: &r, mode: mode, limits: inMode(profiles, mode), short: plan == Short}
	for _, step := range []func() error{p.sensitivity, p.others, p.readings} {
		if err := step(); err != nil {
			return r, err
		}
	}
	p.modulation()
	return r, nil
}

// profilePlan fits a round to limits.
type profilePlan struct {
	round  *job.Round
	mode   string
	limits []job.Limit // those of the mode, in the order in which they apply
	short  bool
}

func inMode(profiles []job.Profile, mode string) []job.Limit {
	var out []job.Limit
	for _, p := range profiles {
		for _, l := range p.Limits {
			if l.Conditions.Mode == "" || l.Conditions.Mode == mode {
				out = append(out, l)
			}
		}
	}
	return out
}

// sensitivity takes criterion and filter from the first limit of sensitivity.
func (p profilePlan) sensitivity() error {
	i := FindTest(p.round, job.KindSensitivity)
	at := slices.IndexFunc(p.limits, func(l job.Limit) bool { return l.Quantity == job.QuantitySensitivity })
	if i < 0 || at < 0 {
		return nil
	}
	l, t := p.limits[at], p.round.Tests[i].Stanza
	if l.Conditions.Criterion.Quantity != "" {
		t.Criterion = l.Conditions.Criterion
	}
	filter, err := job.ParseFilter(l.Conditions.Filter)
	if err != nil {
		return err
	}
	t.Filter = filter
	t.ToneHz = stated(l.Conditions.ToneHz, t.ToneHz)
	t.Deviation, t.Depth = stated(l.Conditions.Deviation, t.Deviation), stated(l.Conditions.Depth, t.Depth)
	t.Takes = nil
	if t.Criterion.Quantity != job.QuantitySINAD {
		t.Takes, err = around(l.Value, t.Criterion, p.mode)
	}
	return err
}

func stated(v, otherwise float64) float64 {
	if v != 0 {
		return v
	}
	return otherwise
}

// aroundDB are the levels of a series, from the limit, where they cannot be
// proposed from what is heard: quieting needs its open hiss, (S+N)/N two recordings
// at each level in AM.
var aroundDB = []float64{6, 3, 0, -3, -6}

// around are the recordings of a series about a point in dBm. (S+N)/N of an SSB set
// comes from the recording with the tone alone: without a signal the AGC lifts the
// hiss.
func around(dbm float64, c job.Criterion, mode string) ([]job.Take, error) {
	var out []job.Take
	add := func(text, state string) error {
		level, err := unit.ParseLevel(text, unit.PD)
		out = append(out, job.Take{Level: level, Typed: text, State: state})
		return err
	}
	if c.Quantity == job.QuantityQuieting {
		if err := add("off", ""); err != nil {
			return nil, err
		}
	}
	for _, db := range aroundDB {
		text := strconv.FormatFloat(twoDigits(unit.MicrovoltPD(dbm+db)), 'g', -1, 64) + " uV PD"
		states := []string{""}
		switch {
		case c.Quantity == job.QuantitySNN && mode == job.SSB:
			states = []string{job.StateModulated}
		case c.Quantity == job.QuantitySNN:
			states = []string{job.StateModulated, job.StateCarrier}
		}
		for _, state := range states {
			if err := add(text, state); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

func twoDigits(v float64) float64 {
	step := math.Pow(10, math.Floor(math.Log10(v))-1)
	out, err := strconv.ParseFloat(strconv.FormatFloat(math.Round(v/step)*step, 'g', 3, 64), 64)
	if err != nil {
		return v
	}
	return out
}

// others fits the tests of the other quantities to the first limit of each.
func (p profilePlan) others() error {
	done := map[string]bool{}
	judged := slices.ContainsFunc(p.limits, func(l job.Limit) bool { return l.Quantity == job.QuantitySensitivity })
	for _, l := range p.limits {
		judged = judged || p.kindOf(l, true) >= 0 || p.readingOf(l) >= 0
	}
	for _, l := range p.limits {
		key := l.Quantity + l.Of
		if l.Quantity == job.QuantitySensitivity || done[key] {
			continue
		}
		i := p.kindOf(l, true)
		if i < 0 && (!p.short || !judged) {
			var err error
			if i, err = p.add(l); err != nil {
				return err
			}
		}
		if i < 0 {
			continue
		}
		done[key] = true
		s := p.round.Tests[i].Stanza
		s.ToneHz = stated(l.Conditions.ToneHz, s.ToneHz)
		s.Deviation, s.Depth = stated(l.Conditions.Deviation, s.Deviation), stated(l.Conditions.Depth, s.Depth)
		if l.Conditions.Filter != "" {
			filter, err := job.ParseFilter(l.Conditions.Filter)
			if err != nil {
				return err
			}
			s.Filter = filter
		}
	}
	return nil
}

// kindOf is the test of the round that gives a limit's quantity, -1 for none. fits:
// also at the level that the limit holds at.
func (p profilePlan) kindOf(l job.Limit, fits bool) int {
	return slices.IndexFunc(p.round.Tests, func(t job.Test) bool {
		k, _ := job.KindOf(t.Kind)
		return t.Stanza != nil && slices.Contains(k.Limits, l.Quantity) && l.Belongs(k) && (!fits || l.Conditions.AtLevel(t.Stanza.Level))
	})
}

// add adds a test that gives a limit's quantity, with a name where the round has
// one of its kind; -1 if there is no kind for it.
func (p profilePlan) add(l job.Limit) (int, error) {
	for _, k := range job.Kinds() {
		if !k.Fits(p.mode) || !slices.Contains(k.Limits, l.Quantity) || !l.Belongs(k) || k.Point {
			continue
		}
		tests, err := planOf(k, p.mode)
		if err != nil {
			return -1, err
		}
		t := tests[0]
		if level := l.Conditions.Level; level != "" && k.TakesLevel() {
			t.Name = l.Name
			if t.Stanza.Level, err = unit.ParseLevel(level, unit.PD); err != nil {
				return -1, fmt.Errorf("the limit of %s: %w", l.Name, err)
			}
			t.Stanza.LevelTyped = level
		}
		at := p.behind(k)
		p.round.Tests = slices.Insert(p.round.Tests, at, t)
		return at, nil
	}
	return -1, nil
}

// behind is where a test of a kind comes in the usual order.
func (p profilePlan) behind(k job.Kind) int {
	order := job.Kinds()
	place := func(name string) int { return slices.IndexFunc(order, func(x job.Kind) bool { return x.Name == name }) }
	at := slices.IndexFunc(p.round.Tests, func(t job.Test) bool { return place(t.Kind) > place(k.Name) })
	if at < 0 {
		return len(p.round.Tests)
	}
	return at
}

// limitOfReading are the quantities of what is read off an instrument.
var limitOfReading = map[string]string{
	"deviation at full speech":  job.QuantityDeviation,
	"modulation at full speech": job.QuantityModulation,
}

// readingOf is the planned meter reading of a limit's quantity, -1 for none.
func (p profilePlan) readingOf(l job.Limit) int {
	return slices.IndexFunc(p.round.MeterReadings, func(m job.MeterReading) bool { return limitOfReading[m.What] == l.Quantity })
}

// readings gives planned meter readings their limits: one side as it is, two as
// the middle with what lies on both sides of it.
func (p profilePlan) readings() error {
	for i, m := range p.round.MeterReadings {
		quantity := limitOfReading[m.What]
		if quantity == "" {
			continue
		}
		bounds := map[string]job.Limit{}
		for _, l := range p.limits {
			if _, has := bounds[l.Bound]; !has && l.Quantity == quantity {
				bounds[l.Bound] = l
			}
		}
		most, hasMost := bounds[job.AtMost]
		least, hasLeast := bounds[job.AtLeast]
		m.Limit, m.Nominal, m.Within = "", "", ""
		switch number := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) + " " + most.Unit }; {
		case hasMost && hasLeast:
			m.Nominal, m.Within = number((most.Value+least.Value)/2), number((most.Value-least.Value)/2)
			m.Note = "limits of " + most.Profile
		case hasMost:
			m.Limit = withSource("at most ", most)
		case hasLeast:
			m.Limit = withSource("at least ", least)
		}
		if v := limit.JudgeMeter(job.MeterReading{What: m.What, Value: first(m.Nominal, most.Typed, least.Typed), Limit: m.Limit, Nominal: m.Nominal, Within: m.Within}, p.round.Conditions); v != nil && v.Outcome == limit.NotJudged {
			return fmt.Errorf("the limit of %s cannot be planned: %s", m.What, v.Why)
		}
		p.round.MeterReadings[i] = m
	}
	return nil
}

func withSource(bound string, l job.Limit) string {
	return bound + l.Typed + ", " + strings.TrimSuffix(l.Source+" "+l.Clause, " ")
}

func first(texts ...string) string {
	for _, t := range texts {
		if t != "" {
			return t
		}
	}
	return ""
}

// modulation gives the other tests of the receiver the modulation that a profile
// states for one of them: the standard modulation is the same for all.
func (p profilePlan) modulation() {
	var deviation, depth float64
	for _, l := range p.limits {
		deviation, depth = stated(deviation, l.Conditions.Deviation), stated(depth, l.Conditions.Depth)
	}
	p.round.Modulate(deviation, depth)
}
