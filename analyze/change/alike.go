package change

import (
	"fmt"
	"math"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Unlike says why two tests of a kind were not measured alike, "" if they were.
func Unlike(before, after job.Setup) string {
	if a, b := before.Criterion, after.Criterion; a.Quantity != b.Quantity || math.Abs(a.Value-b.Value) > 1e-9 {
		return fmt.Sprintf("the criterion was %s, and is %s", a.Label(), b.Label())
	}
	return unlikeModulation(before.Reading, after.Reading, before.Depth, after.Depth)
}

func unlikeModulation(before, after job.Reading, depth, now float64) string {
	if a, b := before.Filter.String(), after.Filter.String(); a != b {
		return fmt.Sprintf("the filter was %s, and is %s", a, b)
	}
	for _, c := range []struct {
		what, unit string
		a, b       float64
	}{
		{"tone", "Hz", before.Tone(), after.Tone()},
		{"deviation", "Hz", before.Deviation, after.Deviation},
		{"depth", "%", depth, now},
	} {
		if job.Differs(c.a, c.b) {
			return fmt.Sprintf("the %s was %g %s, and is %g %s", c.what, c.a, c.unit, c.b, c.unit)
		}
	}
	return ""
}

// sameLevelDB is by how much the levels of two tests may differ, in dB, that count
// as made at one level: what a dial is read to.
const sameLevelDB = 0.5

// OtherLevel says that a figure that holds for one level of the signal, or for the
// span of several, comes from different ones in two tests of a kind; "" if not, or
// if neither says its level.
func OtherLevel(before, after job.Setup, figure string) string {
	kind, _ := job.KindOf(after.Kind)
	row, _ := job.FigureOf(figure)
	if kind.HeldAt == "" || row.Free {
		return ""
	}
	if row.Span {
		for _, end := range []struct {
			what string
			of   func(a, b float64) bool
		}{{"strongest", func(a, b float64) bool { return a > b }}, {"weakest", func(a, b float64) bool { return a < b }}} {
			if why := levelsDiffer("the "+end.what+" level", endOf(before, job.AllStates, end.of), endOf(after, job.AllStates, end.of)); why != "" {
				return why
			}
		}
		return ""
	}
	return levelsDiffer("the level at the set", heldLevel(before, kind.HeldAt), heldLevel(after, kind.HeldAt))
}

func levelsDiffer(what string, a, b unit.Level) string {
	switch {
	case a.Scale == unit.Off && b.Scale == unit.Off, a.Scale == b.Scale && math.Abs(a.DB-b.DB) <= sameLevelDB:
		return ""
	case a.Scale == unit.Off:
		return fmt.Sprintf("%s was not stated, and is %s", what, levelRounded(b))
	case b.Scale == unit.Off:
		return fmt.Sprintf("%s was %s, and is not stated", what, levelRounded(a))
	}
	return fmt.Sprintf("%s was %s, and is %s", what, levelRounded(a), levelRounded(b))
}

func levelRounded(l unit.Level) string {
	l.DB = math.Round(10*l.DB) / 10
	return l.String()
}

// heldLevel is the level at the set that a test's figures hold for, as chosenOf
// picks it: its own, where a recording has it, or else the strongest.
func heldLevel(s job.Setup, state string) unit.Level {
	if s.LevelTyped != "" {
		own := job.Take{Level: s.Level, Typed: s.LevelTyped}
		typed := false
		for _, k := range s.Takes {
			if k.Typed != "" && analyze.SameLevel(s, k, own) {
				typed = false
				break
			}
			typed = typed || k.Typed != "" && k.Level.Scale != unit.Off
		}
		if !typed {
			l, _ := analyze.AtSet(s, own)
			return l
		}
	}
	return endOf(s, state, func(a, b float64) bool { return a > b })
}

// endOf is the level at the set at one end of those of a test.
func endOf(s job.Setup, state string, further func(a, b float64) bool) unit.Level {
	end := unit.Level{Scale: unit.Off}
	for _, k := range s.Takes {
		if l, ok := analyze.AtSet(s, k); ok && (state == job.AllStates || k.State == state) && (end.Scale == unit.Off || further(l.DB, end.DB)) {
			end = l
		}
	}
	return end
}
