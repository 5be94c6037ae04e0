package run

import (
	"hisspoint/analyze"
	"hisspoint/analyze/change"
	"hisspoint/analyze/limit"
	"hisspoint/analyze/response"
	"hisspoint/capture"
	"hisspoint/capture/note"
	"hisspoint/reports"
)

// changes are the differences of the figures that both rounds have. A test that was
// measured otherwise in the later round is not compared, and says there what differs.
// scaleChanged: something between the set and the samples (input, gain, audio pad) is
// not what it was, so dBFS of the two rounds are no common scale and are left out.
func changes(before, after reports.Round, scaleChanged bool) (all []reports.Change, unlike []reports.NotAlike) {
	one := oneCard(before.Card, after.Card)
	add := func(t reports.Test, was, c analyze.Reading, ok bool) {
		if ok {
			c = change.Reconnected(c, was)
			all = append(all, reports.Change{Kind: t.Kind, Test: t.Name, Figure: c, Significant: change.Matters(c, was)})
		}
	}
	for _, t := range after.Tests {
		old := before.Find(t.Kind, t.Name)
		if old == nil {
			continue
		}
		if why := change.Unlike(old.Result.Setup, t.Result.Setup); why != "" {
			unlike = append(unlike, reports.NotAlike{Kind: t.Kind, Test: t.Name, Why: why})
			if t.Result.Point != nil {
				t.Result.Warnings = append(t.Result.Warnings, capture.Warning{Code: capture.NotCompared, Says: note.Phrase(notCompared(why))})
			} else {
				t.Result.Says = append(t.Result.Says, note.Phrase(notCompared(why)+"."))
			}
			continue
		}
		if t.Result.Response != nil && old.Result.Response != nil {
			// As wholes: what both share, such as the talker, cancels.
			d := response.Compare(*t.Result.Response, *old.Result.Response)
			add(t, analyze.Reading{}, d.Tilt, d.Tilt.OK())
			continue
		}
		told := map[string]bool{}
		for _, f := range t.Result.Figures {
			if scaleChanged && f.Unit == "dBFS" {
				continue
			}
			own, was := t.Result.OwnOf(f.Name), old.Result.OwnOf(f.Name)
			c, ok := change.OfRounds(*old.Result, *t.Result, f.Name)
			c = limit.WidenChange(c, limit.ChangeShares(*old.Result, was), limit.ChangeShares(*t.Result, own), one)
			if why := change.OtherLevel(old.Result.Setup, t.Result.Setup, f.Name); ok && why != "" {
				if !told[why] {
					unlike = append(unlike, reports.NotAlike{Kind: t.Kind, Test: t.Name, Why: why})
					t.Result.Says, told[why] = append(t.Result.Says, note.Phrase(notCompared(why)+".")), true
				}
				continue
			}
			add(t, was, c, ok)
		}
	}
	return all, unlike
}

func notCompared(why string) string {
	return "It is not compared with as found: " + why
}
