package jobfile

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/yamlfile"
	"hisspoint/capture/unit"
)

// test turns a test as it is written into one.
func (c *converter) test(t testShape, kind unit.LevelKind) (job.Test, error) {
	s, err := c.stanza(t, kind)
	if err != nil {
		return job.Test{}, err
	}
	return job.Test{Kind: t.kind.Name, Name: t.Name.Value, Stanza: s}, nil
}

// criterion reads that of a kind that is after a point.
func (c *converter) criterion(t testShape, out *job.Stanza) (err error) {
	if !t.kind.Point {
		return nil
	}
	if !t.Criterion.Set {
		out.Criterion, err = job.ParseCriterion("")
	} else if out.Criterion, err = job.ParseLimitCriterion(t.Criterion.Value); err != nil {
		err = c.n.ErrorAt(t.Criterion.At, "%v", err)
	}
	if err != nil {
		return err
	}
	return c.pairs(t, out)
}

// pairs checks that recordings have parts where the criterion needs them, and
// nowhere else.
func (c *converter) pairs(t testShape, s *job.Stanza) error {
	const how = "each level has two recordings, part: modulated and part: carrier"
	if s.Criterion.Quantity != job.QuantitySNN {
		for i, r := range t.Recordings {
			at := r.Part.At
			if !r.Part.Set {
				at = r.Pos
			}
			if r.Part.Set || s.Takes[i].State != "" { // which a level may say, too
				return c.n.ErrorAt(at, "part belongs to the criterion sn_n only, where %s", how)
			}
		}
		return nil
	}
	if s.OneFile {
		return c.statesInOne(t, s)
	}
	for i, r := range t.Recordings {
		if state := s.Takes[i].State; state != job.StateModulated && state != job.StateCarrier {
			return c.n.ErrorAt(r.Pos, "with the criterion sn_n %s: write {level: 1 uV, part: modulated, file: 1uV.wav}", how)
		}
	}
	return nil
}

// statesInOne checks that the steps of one file say what is modulated, where (S+N)/N
// needs two at each level. An SSB set is measured within each step.
func (c *converter) statesInOne(t testShape, s *job.Stanza) error {
	for i, k := range s.Takes {
		switch {
		case k.State == job.StateModulated, k.State == job.StateCarrier:
		case c.job.Set.Mode == job.SSB && k.State == "":
			s.Takes[i].State = job.StateModulated
		default:
			return c.n.ErrorAt(t.List[i].At, "with the criterion sn_n each level has two steps: write levels: [1 uV modulated, 1 uV carrier]")
		}
	}
	return nil
}

func (c *converter) stanza(t testShape, kind unit.LevelKind) (*job.Stanza, error) {
	out := &job.Stanza{Note: t.Note.Value}
	for _, step := range []func() error{
		func() error { return c.modulation(t, out) },
		func() error { return c.level(t, kind, out) },
		func() error { return c.recordings(t, kind, out) },
		func() error { return c.settings(t, out) },
		func() error { return c.ownLimits(t, kind, out) },
		func() error { return c.uncertainty(t.Uncertainty, out) },
		func() error { return c.criterion(t, out) },
	} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (c *converter) modulation(t testShape, out *job.Stanza) error {
	var err error
	if out.Filter, err = job.ParseFilter(t.Filter.Value); err != nil {
		return c.n.ErrorAt(t.Filter.At, "%v", err)
	}
	if out.ToneHz, err = c.quantity(t.Tone, unit.ParseFrequency); err != nil {
		return err
	}
	if out.Deviation, err = c.quantity(t.Deviation, unit.ParseFrequency); err != nil {
		return err
	}
	if out.Depth, err = c.quantity(t.Depth, unit.ParsePercent); err != nil {
		return err
	}
	if out.Depth < 0 || out.Depth > 100 {
		return c.n.ErrorAt(t.Depth.At, "depth must be from 0 to 100 %%, but here is %q", t.Depth.Value)
	}
	return nil
}

func (c *converter) level(t testShape, kind unit.LevelKind, out *job.Stanza) error {
	if !t.Level.Set {
		return nil
	}
	l, err := unit.ParseLevel(t.Level.Value, kind)
	if err != nil {
		return c.n.ErrorAt(t.Level.At, "%v", err)
	}
	out.Level, out.LevelTyped = l, t.Level.Value
	return nil
}

// settings takes the kind's own keys, as typed. Files that they name may not
// leave the folder either.
func (c *converter) settings(t testShape, out *job.Stanza) error {
	for _, key := range t.kind.Settings {
		v, typed := t.Settings[key]
		if !typed || !v.Set {
			continue
		}
		if v.Value == "" {
			return c.n.ErrorAt(v.At, "%s is empty: leave it out, or say what it is", key)
		}
		if err := job.CheckSetting(key, v.Value); err != nil {
			return c.n.ErrorAt(v.At, "%v", err)
		}
		if job.SettingIsFile(key, v.Value) {
			if err := c.local(v); err != nil {
				return err
			}
			c.files = append(c.files, v)
		}
		if out.Settings == nil {
			out.Settings = map[string]string{}
		}
		out.Settings[key] = v.Value
	}
	return nil
}

// ownLimits takes the limits that are written beside the test.
func (c *converter) ownLimits(t testShape, kind unit.LevelKind, out *job.Stanza) error {
	for i, quantity := range t.kind.Limits {
		typed, several := t.Limits[quantity]
		if i == 0 && t.Limit.Set {
			if several {
				return c.n.ErrorAt(typed.At, "the limit of %s is there twice, as limit and in limits: keep one of them", quantity)
			}
			typed = t.Limit
		}
		if !typed.Set {
			continue
		}
		l, err := job.ParseLimit(typed.Value, quantity, kind)
		if err != nil {
			return c.n.ErrorAt(typed.At, "%v", err)
		}
		out.Limits = append(out.Limits, l)
		if out.LimitTexts == nil {
			out.LimitTexts = map[string]string{}
		}
		out.LimitTexts[quantity] = typed.Value
	}
	return nil
}

func (c *converter) uncertainty(list []contributionShape, out *job.Stanza) error {
	for _, u := range list {
		if u.What.Value == "" || !u.DB.Set {
			return c.n.ErrorAt(u.Pos, "an entry of uncertainty needs what and db: write {what: cable at the bench, db: 0.3}")
		}
		if err := c.within(u.DB, "db", 0, 60); err != nil {
			return err
		}
		d, err := c.word(u.Distribution, "distribution", job.Distributions)
		if err != nil {
			return err
		}
		out.Uncertainty = append(out.Uncertainty, job.Contribution{What: u.What.Value, DB: u.DB.Value, Distribution: d})
	}
	return nil
}

// recordings takes the recordings of a test in the one way in which it has them.
func (c *converter) recordings(t testShape, kind unit.LevelKind, out *job.Stanza) error {
	list := t.kind.AxisKey()
	switch {
	case len(t.Recordings) > 0 && t.File.Set:
		return c.n.ErrorAt(t.File.At, "a test has either recordings, or file: leave one of them out")
	case len(t.Recordings) > 0 && len(t.List) > 0:
		return c.n.ErrorAt(t.List[0].At, "a test has either recordings, or %s with one file: leave one of them out", list)
	case t.File.Set && t.File.Value == "":
		return c.n.ErrorAt(t.File.At, "file is empty: leave it out until it is recorded")
	case t.File.Set && len(t.List) == 0 && !t.kind.Single:
		return c.n.ErrorAt(t.File.At, "one file with many recordings needs %s: write it like %s", list, t.kind.Sketch)
	case !t.File.Set && (t.From.Set || t.To.Set || t.Volts.Set):
		at := slices.MinFunc([]yamlfile.Pos{t.From.At, t.To.At, t.Volts.At}, firstSet)
		return c.n.ErrorAt(at, "from, to and measured_volts go with file here: add it")
	}
	if t.File.Set {
		if err := c.local(t.File); err != nil {
			return err
		}
		c.files = append(c.files, t.File)
	}
	one, err := c.stretch(takeShape{File: t.File, From: t.From, To: t.To, Volts: t.Volts})
	if err != nil {
		return err
	}
	for _, l := range t.List {
		take, err := c.place(t.kind, l, kind)
		if err != nil {
			return err
		}
		take.File, take.From, take.To, take.MeasuredVolts = one.File, one.From, one.To, one.MeasuredVolts
		out.Takes = append(out.Takes, take)
	}
	out.OneFile = len(t.List) > 0
	if t.File.Set && !out.OneFile {
		out.Takes = []job.Take{one}
	}
	for _, r := range t.Recordings {
		take, err := c.take(t.kind, r, kind)
		if err != nil {
			return err
		}
		out.Takes = append(out.Takes, take)
	}
	return nil
}

// firstSet orders places in a file, those that are none last.
func firstSet(a, b yamlfile.Pos) int {
	switch {
	case a.Line == 0:
		return 1
	case b.Line == 0:
		return -1
	case a.Line != b.Line:
		return a.Line - b.Line
	}
	return a.Column - b.Column
}

// place reads where a take lies: its level, place on another axis, or part.
func (c *converter) place(k job.Kind, t text, kind unit.LevelKind) (job.Take, error) {
	var take job.Take
	var err error
	switch {
	case t.Value == "":
		err = fmt.Errorf("an entry of %s is empty: write it like %s", k.AxisKey(), k.Sketch)
	case k.Point && slices.Contains([]string{job.StateModulated, job.StateCarrier}, lastWord(t.Value)):
		take, err = job.ParsePart(t.Value, kind)
	case k.Axis == job.AxisLevel:
		take.Typed = t.Value
		take.Level, err = unit.ParseLevel(t.Value, kind)
	case k.Axis != "":
		take.AtTyped = t.Value
		take.At, err = job.ParseAt(k.Axis, t.Value)
	default:
		take, err = job.ParsePart(t.Value, kind)
	}
	if err != nil {
		return take, c.n.ErrorAt(t.At, "%v", err)
	}
	return take, nil
}

func lastWord(text string) string {
	words := strings.Fields(strings.ToLower(text))
	if len(words) == 0 {
		return ""
	}
	return words[len(words)-1]
}

// take reads one recording.
func (c *converter) take(k job.Kind, r takeShape, kind unit.LevelKind) (job.Take, error) {
	place, key := r.Part, job.KeyPart
	if k.Axis != "" {
		place, key = r.place(k.Axis), k.Axis
	}
	if place.Value == "" {
		return job.Take{}, c.n.ErrorAt(r.Pos, "a recording of %s needs its %s: write it like %s", k.Title, key, k.Sketch)
	}
	out, err := c.place(k, place, kind)
	if err != nil {
		return out, err
	}
	if k.Axis != "" && r.Part.Set { // sensitivity by (S+N)/N
		if out.State, err = c.word(r.Part, "part", []string{job.StateModulated, job.StateCarrier}); err != nil {
			return out, err
		}
	}
	if r.File.Set {
		if r.File.Value == "" {
			return out, c.n.ErrorAt(r.File.At, "file is empty: leave it out until it is recorded")
		}
		if err := c.local(r.File); err != nil {
			return out, err
		}
		c.files = append(c.files, r.File)
	} else if r.From.Set || r.To.Set || r.Volts.Set {
		return out, c.n.ErrorAt(r.Pos, "from, to and measured_volts go with file here: add it")
	}
	stretch, err := c.stretch(r)
	stretch.Level, stretch.Typed, stretch.State, stretch.At, stretch.AtTyped = out.Level, out.Typed, out.State, out.At, out.AtTyped
	return stretch, err
}

// ErrNeedsTo is the error of a part of a file that has no end.
var ErrNeedsTo = errors.New("from needs to")

// stretch reads which part of its file a recording uses, and what was read
// while it was made.
func (c *converter) stretch(r takeShape) (job.Take, error) {
	const counts = "both count seconds from the start of the file"
	switch {
	case r.From.Set && r.From.Value < 0:
		return job.Take{}, c.n.ErrorAt(r.From.At, "from must not be below zero: it counts seconds from the start of the file")
	case r.From.Set && !r.To.Set:
		return job.Take{}, c.n.ErrorAt(r.From.At, "%w: %s", ErrNeedsTo, counts)
	case r.To.Set && r.To.Value <= r.From.Value:
		return job.Take{}, c.n.ErrorAt(r.To.At, "to must be later than from: %s", counts)
	case r.Volts.Set && r.Volts.Value <= 0:
		return job.Take{}, c.n.ErrorAt(r.Volts.At, "measured_volts must be above zero: RMS, as the meter showed it")
	}
	return job.Take{File: r.File.Value, From: r.From.Value, To: r.To.Value, MeasuredVolts: r.Volts.Value}, nil
}

// apart checks that tests of one kind have names that tell them apart.
func (c *converter) apart(shapes []testShape) error {
	for i, t := range shapes {
		for _, other := range shapes[:i] {
			if other.kind.Name != t.kind.Name || !strings.EqualFold(other.Name.Value, t.Name.Value) {
				continue
			}
			if t.Name.Set {
				return c.n.ErrorAt(t.Name.At, "the round has two tests of %s named %q: give each a name of its own", t.kind.Title, yamlfile.Short(t.Name.Value))
			}
			return c.n.ErrorAt(t.at, "the round has two tests of %s: tell them apart by a name in each, as name: second", t.kind.Title)
		}
	}
	return nil
}
