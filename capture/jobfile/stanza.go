package jobfile

import (
	"errors"
	"slices"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/yamlfile"
)

// testShape is one test: a single key that names its kind, with the stanza.
type testShape struct {
	kind job.Kind
	at   yamlfile.Pos
	stanzaShape
}

// stanzaShape holds the keys of a test of any kind as they are written. Which
// of them a kind takes is said by the table of kinds.
type stanzaShape struct {
	Name        text
	Criterion   text
	Tone        text
	Deviation   text
	Depth       text
	Filter      text
	Level       text
	File        text
	From, To    number
	Volts       number
	Recordings  []takeShape
	List        []text // of places that all lie in one file
	Limit       text
	Limits      map[string]text
	Uncertainty []contributionShape
	Note        text
	Settings    map[string]text
}

// takeShape is one recording of a test.
type takeShape struct {
	Level  text   `yaml:"level"`
	Tone   text   `yaml:"tone"`
	Offset text   `yaml:"offset"`
	Volume text   `yaml:"volume"`
	Input  text   `yaml:"input"`
	Part   text   `yaml:"part"`
	File   text   `yaml:"file"`
	From   number `yaml:"from"`
	To     number `yaml:"to"`
	Volts  number `yaml:"measured_volts"`
	Pos    yamlfile.Pos
}

// place is the recording's place on an axis.
func (t takeShape) place(axis string) text {
	return map[string]text{job.AxisLevel: t.Level, job.AxisTone: t.Tone, job.AxisOffset: t.Offset, job.AxisVolume: t.Volume, job.AxisInput: t.Input}[axis]
}

// contributionShape is a contribution to the uncertainty that is typed in.
type contributionShape struct {
	What         text   `yaml:"what"`
	DB           number `yaml:"db"`
	Distribution text   `yaml:"distribution"`
	Pos          yamlfile.Pos
}

func kindNames() []string {
	var names []string
	for _, k := range job.Kinds() {
		names = append(names, k.Name)
	}
	return names
}

// DecodeNode reads a test, and says which kinds there are if it is none of them.
func (t *testShape) DecodeNode(n *yamlfile.Node) error {
	if n.Kind != yamlfile.Mapping || len(n.Keys) != 1 {
		return n.Errorf("a test is one key that names its kind (%s), with its entries behind or indented below it", strings.Join(kindNames(), ", "))
	}
	k := n.Keys[0]
	kind, known := job.KindOf(k.Name)
	if !known {
		if near := yamlfile.Nearest(k.Name, kindNames()); near != "" {
			return n.ErrorAt(k.At, "test kind %q is not known: did you mean %q?", yamlfile.Short(k.Name), near)
		}
		return n.ErrorAt(k.At, "test kind %q is not known: there are %s", yamlfile.Short(k.Name), strings.Join(kindNames(), ", "))
	}
	t.kind, t.at = kind, k.At
	if k.Value.Kind == yamlfile.Null {
		return nil
	}
	if k.Value.Kind != yamlfile.Mapping {
		return k.Value.Errorf("a test of %s has entries with keys: write it like %s", kind.Title, kind.Sketch)
	}
	return t.keys(k.Value)
}

// keys reads the keys of a stanza.
func (t *testShape) keys(n *yamlfile.Node) error {
	s := &t.stanzaShape
	fields := map[string]any{job.KeyName: &s.Name, job.KeyCriterion: &s.Criterion, job.KeyTone: &s.Tone, job.KeyDeviation: &s.Deviation,
		job.KeyDepth: &s.Depth, job.KeyFilter: &s.Filter, job.KeyLevel: &s.Level, job.KeyFile: &s.File, job.KeyFrom: &s.From, job.KeyTo: &s.To,
		job.KeyVolts: &s.Volts, job.KeyRecordings: &s.Recordings, job.KeyLimit: &s.Limit, job.KeyUncertainty: &s.Uncertainty, job.KeyNote: &s.Note,
		t.kind.AxisKey(): &s.List}
	for _, k := range n.Keys {
		if err := t.takes(n, k, t.kind.Keys()); err != nil {
			return err
		}
		if k.Name == job.KeyRecordings {
			for _, item := range k.Value.Items {
				for _, key := range item.Keys {
					if err := t.takes(item, key, t.kind.TakeKeys()); err != nil {
						return err
					}
				}
			}
		}
		var err error
		switch into := fields[k.Name]; {
		case k.Name == job.KeyLimits:
			err = t.limits(k.Value)
		case slices.Contains(t.kind.Settings, k.Name):
			err = t.setting(k)
		default:
			err = k.Value.Decode(into)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// ErrOtherPlace is the error of a key that stands where it cannot.
var ErrOtherPlace = errors.New("does not belong in")

// takes tells whether a key may stand where it does.
func (t *testShape) takes(n *yamlfile.Node, k yamlfile.Key, known []string) error {
	if slices.Contains(known, k.Name) {
		return nil
	}
	if err := n.CutOff(k); err != nil {
		return err
	}
	if near := yamlfile.Nearest(k.Name, known); near != "" {
		return n.ErrorAt(k.At, "key %q is not known in %s: did you mean %q? Write it like %s", yamlfile.Short(k.Name), t.kind.Name, near, t.kind.Sketch)
	}
	return n.ErrorAt(k.At, "key %q %w %s, known are %s: write it like %s", yamlfile.Short(k.Name), ErrOtherPlace, t.kind.Name, strings.Join(known, ", "), t.kind.Sketch)
}

func (t *testShape) setting(k yamlfile.Key) error {
	var value text
	if err := k.Value.Decode(&value); err != nil {
		return err
	}
	if t.Settings == nil {
		t.Settings = map[string]text{}
	}
	t.Settings[k.Name] = value
	return nil
}

// limits reads the limits of a test that has several, by their quantities.
func (t *testShape) limits(n *yamlfile.Node) error {
	if n.Kind == yamlfile.Null {
		return nil
	}
	if n.Kind != yamlfile.Mapping {
		return n.Errorf("limits of %s go by quantity: write limits: {%s: \"...\"}", t.kind.Name, t.kind.Limits[0])
	}
	t.Limits = map[string]text{}
	for _, k := range n.Keys {
		if !slices.Contains(t.kind.Limits, k.Name) {
			if err := n.CutOff(k); err != nil {
				return err
			}
			return n.ErrorAt(k.At, "a test of %s has no limit of %q: there is %s", t.kind.Title, yamlfile.Short(k.Name), strings.Join(t.kind.Limits, ", "))
		}
		var value text
		if err := k.Value.Decode(&value); err != nil {
			return err
		}
		t.Limits[k.Name] = value
	}
	return nil
}
