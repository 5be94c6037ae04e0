package job

import (
	"slices"
	"strings"

	"hisspoint/capture/unit"
)

// A test may be planned before it is recorded: its takes have their places and
// no file yet, or it has no takes at all.

// recorded are the takes that have a file.
func recorded(takes []Take) []Take {
	var out []Take
	for _, t := range takes {
		if t.File != "" {
			out = append(out, t)
		}
	}
	return out
}

// AllTakes are the recordings of a test of any kind, planned ones too.
func (t Test) AllTakes() []Take {
	if t.Stanza == nil {
		return nil
	}
	return t.Stanza.Takes
}

// OneFile tells whether all takes of a test are stretches of one file.
func (t Test) OneFile() bool {
	return t.Stanza != nil && t.Stanza.OneFile
}

// Planned tells whether nothing of a test is recorded yet. What was read off an
// instrument needs no recording.
func (t Test) Planned() bool {
	if k, _ := KindOf(t.Kind); len(k.ByEye) > 0 && t.Stanza != nil && !slices.ContainsFunc(k.ByEye, func(key string) bool { return t.Stanza.Setting(key) == "" }) {
		return false
	}
	return len(recorded(t.AllTakes())) == 0
}

// Missing are the planned recordings of a test that have no file yet.
func (t Test) Missing() []Take {
	var out []Take
	for _, k := range t.AllTakes() {
		if k.File == "" {
			out = append(out, k)
		}
	}
	return out
}

// LeftOut tells why a test of the round was not measured, as the technician
// wrote it: an entry of not_measured names it by its kind's key or title, or as
// Label does. ok is false if no entry names it.
func (r *Round) LeftOut(t Test) (why string, ok bool) {
	names := []string{t.Kind, t.Label()}
	if k, known := KindOf(t.Kind); known && t.Name == "" {
		names = append(names, k.Title)
	}
	for _, n := range r.NotMeasured {
		for _, name := range names {
			if plainName(n.What) == plainName(name) {
				return n.Why, true
			}
		}
	}
	return "", false
}

// Modulate gives the receive tests of a round the standard modulation of the
// generator, where they state none: deviation in Hz and depth in percent; 0 leaves
// them as they are. What needs no modulation, or at the response another, has none.
func (r *Round) Modulate(deviation, depth float64) {
	for i, t := range r.Tests {
		k, _ := KindOf(t.Kind)
		s := r.Tests[i].Stanza
		if k.Transmit || k.Toneless() || k.Axis == AxisTone || s == nil || s.Criterion.Quantity == QuantityQuieting {
			continue
		}
		if s.Deviation == 0 {
			s.Deviation = deviation
		}
		if s.Depth == 0 {
			s.Depth = depth
		}
	}
}

// WhyLeft is why something was left out of the round, by the name people call it; empty:
// nobody wrote it down.
func (r *Round) WhyLeft(what string) string {
	for _, n := range r.NotMeasured {
		if plainName(n.What) == plainName(what) {
			return n.Why
		}
	}
	return ""
}

// Omitted tells whether a meter reading or a check is among what was not measured.
func (r *Round) Omitted(what string) bool {
	return slices.ContainsFunc(r.NotMeasured, func(n NotMeasured) bool { return plainName(n.What) == plainName(what) })
}

// plainName is a name without case and without what joins its words.
func plainName(s string) string {
	return strings.Join(strings.Fields(strings.NewReplacer("_", " ", "-", " ").Replace(strings.ToLower(s))), " ")
}

// AsPlan is the test without what was recorded: its places stay, the files go.
func (t Test) AsPlan() Test {
	without := func(takes []Take) []Take {
		var out []Take
		for _, k := range takes {
			if k.Typed == "" && k.AtTyped == "" && k.State == "" && k.Level == (Take{}).Level {
				continue // one file without a place: nothing is left of it
			}
			k.File, k.From, k.To, k.MeasuredVolts = "", 0, 0, 0
			out = append(out, k)
		}
		return out
	}
	if t.Stanza != nil {
		s := *t.Stanza
		s.Takes = without(s.Takes)
		s.OneFile = s.OneFile && len(s.Takes) > 0
		s.Settings = nil
		kind, _ := KindOf(t.Kind)
		for key, value := range t.Stanza.Settings {
			if key == SettingReferenceFile || key == SettingKeyed || key == SettingLevelsChecked || slices.Contains(kind.ByEye, key) {
				continue // recorded or read, like the files
			}
			if s.Settings == nil {
				s.Settings = map[string]string{}
			}
			s.Settings[key] = value
		}
		t.Stanza = &s
	}
	return t
}

// AsPlan is the round without what was recorded, read, looked at and dated in it.
func (r Round) AsPlan() Round {
	out := Round{Conditions: r.Conditions}
	for _, t := range r.Tests {
		out.Tests = append(out.Tests, t.AsPlan())
	}
	for _, m := range r.MeterReadings {
		m.Value, m.Note = "", ""
		out.MeterReadings = append(out.MeterReadings, m)
	}
	for _, c := range r.Checks {
		out.Checks = append(out.Checks, Check{What: c.What, Open: true})
	}
	return out
}

// Dialled gives the levels of a test that are not recorded yet other texts: those of its
// planned recordings, and its own while nothing of it is recorded. kind is what volts
// without PD or EMF mean.
func (t Test) Dialled(kind unit.LevelKind, as func(text string) string) {
	if t.Stanza == nil {
		return
	}
	change := func(typed *string, level *unit.Level) {
		if *typed == "" {
			return
		}
		if l, err := unit.ParseLevel(as(*typed), kind); err == nil {
			*typed, *level = as(*typed), l
		}
	}
	if t.Planned() {
		change(&t.Stanza.LevelTyped, &t.Stanza.Level)
	}
	for i := range t.Stanza.Takes {
		if k := &t.Stanza.Takes[i]; k.File == "" {
			change(&k.Typed, &k.Level)
		}
	}
}

// BehindPad moves the levels that a round has planned by as much as a pad takes off
// them, so that they stay what they were at the set.
func (r *Round) BehindPad(dB float64) {
	for _, t := range r.Tests {
		t.Dialled(r.Conditions.LevelKind, func(text string) string { return unit.Moved(text, dB) })
	}
}
