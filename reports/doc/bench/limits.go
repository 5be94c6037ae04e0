package bench

import (
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// LimitList is the document of the profiles there are.
func LimitList(profiles []job.Profile) doc.Document {
	t := doc.Table{Columns: []doc.Column{{}, {}}}
	for _, p := range profiles {
		t.Rows = append(t.Rows, []string{p.Name, unit.MicroSignInText(p.Title)})
	}
	return doc.Document{Blocks: []doc.Block{doc.Heading{Text: "Limit profiles",
		Note: "hisspoint limits NAME shows the figures with their sources"}, t}}
}

// LimitProfile is the document of one profile: every figure, its source and its standing.
func LimitProfile(p job.Profile) doc.Document {
	d := doc.Document{Title: p.Name + ": " + unit.MicroSignInText(p.Title)}
	for _, l := range p.Limits {
		t := doc.Table{Columns: []doc.Column{{}, {}}}
		for _, row := range [][]string{{"holds for", say.Conditions(l.Conditions)}, {"source", say.Source(l)},
			{"standing", say.Standing(l.Standing)}, {"note", unit.MicroSignInText(l.Note)}} {
			if row[1] != "" {
				t.Rows = append(t.Rows, row)
			}
		}
		d.Blocks = append(d.Blocks, doc.Heading{Text: l.Name + ": " + say.Bound(l.Bound) + " " + say.LimitFigure(l)}, t)
	}
	return d
}
