package service

import (
	"fmt"
	"hisspoint/capture"
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
)

// changes are those of all figures that both rounds have and that were measured
// alike; of the others the later test says what differs. Where what lies between
// the set and the card's samples was changed, levels in dBFS are of two scales and
// not compared.
func changes(before, after reports.Round, scaleChanged bool) []reports.Change {
	var all []reports.Change
	one := oneCard(before.Card, after.Card)
	add := func(t reports.Test, c analyze.Reading, ok bool) {
		if ok {
			all = append(all, reports.Change{Kind: t.Kind, Test: t.Name, Figure: c, Significant: analyze.Significant(c)})
		}
	}
	for _, t := range after.Tests {
		old := before.Find(t.Kind, t.Name)
		switch {
		case old == nil:
		case t.Sensitivity != nil && old.Sensitivity != nil:
			if why := unlikePoints(old.Sensitivity.Result.Test, t.Sensitivity.Result.Test); why != "" {
				s := &t.Sensitivity.Result
				s.Warnings = append(s.Warnings, capture.Warning{Code: "not-compared", Text: notCompared(why)})
				continue
			}
			c, ok := analyze.Change(old.Sensitivity.Result.Point, t.Sensitivity.Result.Point)
			c = limit.WidenChange(c, limit.ChangeSharesOfPoint(old.Sensitivity.Result), limit.ChangeSharesOfPoint(t.Sensitivity.Result), one)
			add(t, c, ok)
		case t.Result != nil && old.Result != nil:
			if why := unlike(old.Result.Setup, t.Result.Setup); why != "" {
				t.Result.Says = append(t.Result.Says, notCompared(why)+".")
				continue
			}
			if t.Result.Response != nil && old.Result.Response != nil {
				// As wholes: what both share, such as the talker, cancels.
				d := analyze.CompareResponses(*t.Result.Response, *old.Result.Response)
				add(t, d.Tilt, d.Tilt.OK())
				continue
			}
			why := otherLevel(*old.Result, *t.Result)
			told := false
			for _, f := range t.Result.Figures {
				if scaleChanged && f.Unit == "dBFS" {
					continue
				}
				own, was := t.Result.OwnOf(f.Name), old.Result.OwnOf(f.Name)
				c, ok := analyze.ChangeOf(was, own)
				c = limit.WidenChange(c, limit.ChangeShares(*old.Result, was), limit.ChangeShares(*t.Result, own), one)
				if ok && why != "" && !slices.Contains(foundLevels, f.Name) {
					if !told {
						t.Result.Says, told = append(t.Result.Says, notCompared(why)+"."), true
					}
					continue
				}
				add(t, c, ok)
			}
		}
	}
	return all
}

func notCompared(why string) string {
	return "It is not compared with as found: " + why
}

// unlikePoints says why two sensitivities were not measured alike, "" if they were.
func unlikePoints(before, after job.Sensitivity) string {
	a, b := criterionOf(before), criterionOf(after)
	if a.Quantity != b.Quantity || math.Abs(a.Value-b.Value) > 1e-9 {
		return fmt.Sprintf("the criterion was %s, and is %s", a.Label(), b.Label())
	}
	return unlikeModulation(before.How(), after.How(), before.Depth, after.Depth)
}

func criterionOf(s job.Sensitivity) job.Criterion {
	if s.Criterion.Quantity == "" {
		return job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}
	}
	return s.Criterion
}

// unlike says why two tests of a kind were not measured alike, "" if they were.
func unlike(before, after job.Setup) string {
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

// Kinds whose figures are those of one level, and the figures of theirs that are
// levels themselves, found over several.
var (
	levelBound  = []string{job.KindQuieting, job.KindSignalNoise, job.KindHumNoise, job.KindDistortion}
	foundLevels = []string{analyze.QuietingPoint, analyze.SignalNoisePoint}
)

// sameLevelDB is by how much the levels of two tests may differ, in dB, that count
// as made at one level: what a dial is read to.
const sameLevelDB = 0.5

// otherLevel says that two tests whose figures hold for one level were made at
// different ones, "" if they were not, or if a level is not stated.
func otherLevel(before, after analyze.Result) string {
	if !slices.Contains(levelBound, after.Setup.Kind) {
		return ""
	}
	a, okA := levelOf(before.Setup)
	b, okB := levelOf(after.Setup)
	if !okA || !okB || a.Scale == b.Scale && math.Abs(a.DB-b.DB) <= sameLevelDB {
		return ""
	}
	return fmt.Sprintf("the level at the set was %s, and is %s", levelText(a), levelText(b))
}

func levelText(l unit.Level) string {
	l.DB = math.Round(10*l.DB) / 10
	return l.String()
}

// levelOf is the level at the set that a test's figures hold for: its own, or
// else the strongest of its recordings.
func levelOf(s job.Setup) (l unit.Level, ok bool) {
	l.Scale = unit.Off
	if s.LevelTyped != "" {
		l = s.Level
	} else {
		for _, k := range s.Takes {
			if k.Typed != "" && k.Level.Scale != unit.Off && (l.Scale == unit.Off || k.Level.DB > l.DB) {
				l = k.Level
			}
		}
	}
	if l.Scale == unit.Absolute {
		l = l.Add(-s.Path.PadDB)
	}
	return l, l.Scale != unit.Off
}
