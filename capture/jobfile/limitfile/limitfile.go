// Package limitfile reads limit profiles: YAML files that list the limits of
// one service, each with its bound, conditions, source and standing.
package limitfile

import (
	"slices"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/yamlfile"
	"hisspoint/capture/unit"
)

// File is a profile as it is written.
type File struct {
	Profile yamlfile.Text `yaml:"profile"`
	Title   yamlfile.Text `yaml:"title"`
	Mode    yamlfile.Text `yaml:"mode"`
	Limits  []Entry       `yaml:"limits"`
	Pos     yamlfile.Pos
}

// Entry is one limit as it is written. Exactly one of AtMost and AtLeast is due.
type Entry struct {
	Quantity   yamlfile.Text `yaml:"quantity"`
	Name       yamlfile.Text `yaml:"name"`
	AtMost     yamlfile.Text `yaml:"at_most"`
	AtLeast    yamlfile.Text `yaml:"at_least"`
	Conditions Conditions    `yaml:"conditions"`
	Of         yamlfile.Text `yaml:"of"`
	Source     yamlfile.Text `yaml:"source"`
	Clause     yamlfile.Text `yaml:"clause"`
	Standing   yamlfile.Text `yaml:"standing"`
	Note       yamlfile.Text `yaml:"note"`
	Pos        yamlfile.Pos
}

// Conditions under which a limit applies, as they are written.
type Conditions struct {
	Criterion yamlfile.Text `yaml:"criterion"`
	Filter    yamlfile.Text `yaml:"filter"`
	Tone      yamlfile.Text `yaml:"tone"`
	Deviation yamlfile.Text `yaml:"deviation"`
	Depth     yamlfile.Text `yaml:"depth"`
	Level     yamlfile.Text `yaml:"level"`
}

// Parse reads a profile. file is named in errors.
func Parse(file string, data []byte) (job.Profile, error) {
	n, err := yamlfile.Parse(file, data)
	if err != nil {
		return job.Profile{}, err
	}
	var f File
	if err := n.Decode(&f); err != nil {
		return job.Profile{}, err
	}
	if f.Profile.Value == "" {
		return job.Profile{}, n.Errorf("a limit profile needs its name: write profile: my-limits")
	}
	if len(f.Limits) == 0 {
		return job.Profile{}, n.Errorf("a limit profile needs limits: list at least one under limits:")
	}
	p := job.Profile{Name: f.Profile.Value, Title: f.Title.Value}
	mode := strings.ToLower(f.Mode.Value)
	if mode != "" && !slices.Contains(job.Modes, mode) {
		return job.Profile{}, n.ErrorAt(f.Mode.At, "mode %q is not known: use one of %s", f.Mode.Value, strings.Join(job.Modes, ", "))
	}
	for _, e := range f.Limits {
		l, err := e.limit(n)
		if err != nil {
			return job.Profile{}, err
		}
		l.Profile, l.Conditions.Mode = p.Name, mode
		p.Limits = append(p.Limits, l)
	}
	return p, nil
}

func (e Entry) limit(n *yamlfile.Node) (job.Limit, error) {
	figure, bound := e.AtMost, job.AtMost
	if e.AtLeast.Set {
		figure, bound = e.AtLeast, job.AtLeast
	}
	if e.AtMost.Set == e.AtLeast.Set {
		return job.Limit{}, n.ErrorAt(e.Pos, "a limit needs either at_most or at_least")
	}
	l, err := job.ParseLimit(figure.Value, e.Quantity.Value, "")
	switch {
	case err != nil && !slices.Contains(job.BoundedQuantities(), e.Quantity.Value):
		return job.Limit{}, n.ErrorAt(e.Pos, "%v", err)
	case err != nil:
		return job.Limit{}, n.ErrorAt(figure.At, "%v", err)
	case l.Source != "":
		return job.Limit{}, n.ErrorAt(figure.At, "the figure %q holds more than a number and its unit: put the source under source:", figure.Value)
	case e.Quantity.Value == job.QuantitySensitivity && l.Conditions.Kind != "" && !saysKind(figure.Value):
		return job.Limit{}, n.ErrorAt(figure.At, "the figure %q must say PD or EMF: write it like 0.5 uV PD", figure.Value)
	case e.Source.Value == "":
		return job.Limit{}, n.ErrorAt(e.Pos, "a limit needs its source: name the document, or write source: common practice")
	case !slices.Contains(job.Standings, e.Standing.Value):
		return job.Limit{}, n.ErrorAt(at(e.Standing, e.Pos), "standing %q is not known: use one of %s", e.Standing.Value, strings.Join(job.Standings, ", "))
	}
	l.Bound, l.Source, l.Clause, l.Standing, l.Note = bound, e.Source.Value, e.Clause.Value, e.Standing.Value, e.Note.Value
	if e.Name.Value != "" {
		l.Name = e.Name.Value
	}
	if l.Of = e.Of.Value; l.Of != "" && l.Of != job.Transmitter {
		return job.Limit{}, n.ErrorAt(e.Of.At, "of %q is not known: write of: transmitter, or leave it out for the receiver", l.Of)
	}
	return l, e.Conditions.into(n, &l.Conditions)
}

func saysKind(s string) bool {
	s = strings.ToLower(s)
	return strings.HasSuffix(s, string(unit.PD)) || strings.HasSuffix(s, string(unit.EMF))
}

func at(t yamlfile.Text, otherwise yamlfile.Pos) yamlfile.Pos {
	if t.Set {
		return t.At
	}
	return otherwise
}

func (c Conditions) into(n *yamlfile.Node, to *job.Conditions) error {
	var err error
	to.Level = c.Level.Value
	if c.Criterion.Set {
		if to.Criterion, err = job.ParseLimitCriterion(c.Criterion.Value); err != nil {
			return n.ErrorAt(c.Criterion.At, "%v", err)
		}
	}
	if c.Filter.Set {
		f, err := job.ParseFilter(c.Filter.Value)
		if err != nil {
			return n.ErrorAt(c.Filter.At, "%v", err)
		}
		to.Filter = f.String()
	}
	for _, q := range []struct {
		text  yamlfile.Text
		parse func(string) (float64, error)
		to    *float64
	}{{c.Tone, unit.ParseFrequency, &to.ToneHz}, {c.Deviation, unit.ParseFrequency, &to.Deviation}, {c.Depth, unit.ParsePercent, &to.Depth}} {
		if !q.text.Set {
			continue
		}
		if *q.to, err = q.parse(q.text.Value); err != nil {
			return n.ErrorAt(q.text.At, "%v", err)
		}
	}
	return nil
}
