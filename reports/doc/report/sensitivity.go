package report

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/doc/sheet"
)

// pointChange is that of the point, nil unless both rounds have one.
func (s resultRounds) pointChange() *reports.Change { return s.Changes[job.QuantitySensitivity] }

// named adds the test's name to what is said of it.
func (s resultRounds) named(text string) string { return say.Joined(", ", text, s.Name) }

// sensitivityPart is what a sensitivity test puts into a report.
func sensitivityPart(r resultRounds) part {
	newest := r.Rounds[len(r.Rounds)-1].Test
	p := part{name: r.named("sensitivity (" + newest.Result.Setup.Criterion.Label() + ")"), takes: map[string][]take{}}
	for _, round := range r.Rounds {
		p.takes[round.Name] = takesOf(round.Test)
	}
	if v := newest.Verdict(); v != nil {
		one := judgedOf(*v, newest.Result.Setup.Criterion.Label(), newest.Result.Setup.LevelKind)
		one.row[2] = say.PointVerdict(*v, *newest.Result)
		if v.Outcome == limit.Pass {
			one.row[2] = say.Sure(*v)
		}
		p.verdicts = append(p.verdicts, one)
	}
	p.technical = sensitivityPages(r)
	return p
}

// judgedOf is a verdict as the report tells it.
func judgedOf(v limit.Verdict, of string, kind unit.LevelKind) judged {
	why := ""
	if v.Outcome == limit.NotJudged || v.Outcome == limit.Undecided {
		why = v.Why
	}
	from := say.Joined("; ", why, say.Assumed(v), say.Source(v.Limit), say.Standing(v.Limit.Standing),
		prefixed("profile ", v.Limit.Profile), unit.MicroSignInText(v.Limit.Note))
	return judged{rule: v.Rule, row: []string{of, say.Bound(v.Limit.Bound) + " " + say.Limit(v.Limit, kind), say.Sure(v),
		say.Conditions(v.Limit.Conditions), from}}
}

func prefixed(before, s string) string {
	if s == "" {
		return ""
	}
	return before + s
}

// splitPoint takes a point's text apart: the figure, dBm and interval.
func splitPoint(p analyze.Point, kind unit.LevelKind) (figure, dbm, interval string) {
	switch p.Status {
	case analyze.BelowRange:
		return "below " + say.Level(p.Level, kind), "", ""
	case analyze.AboveRange:
		return "above " + say.Level(p.Level, kind), "", ""
	case analyze.Found:
	default:
		return "not found", "", ""
	}
	head, interval, _ := strings.Cut(say.Point(p, kind), ", ")
	figure, dbm, _ = strings.Cut(head, " (")
	return figure, strings.TrimSuffix(dbm, ")"), interval
}

// beyondUncertainty says whether a change is more than chance may make it.
func beyondUncertainty(c *reports.Change) string {
	switch {
	case !c.Figure.HasInterval():
		return "its uncertainty is not known"
	case c.Significant:
		return "a real change"
	}
	return "within its uncertainty"
}

// keyFigures are rows of label, a cell a round, and the change.
func keyFigures(r resultRounds) [][]string {
	first := r.Rounds[0].Test.Result.Setup
	rows := [][]string{{r.named(first.Criterion.Label()) + " at"}, {"the same in dBm"}, {"95 % interval"}, {"verdict"}}
	for _, round := range r.Rounds {
		s := round.Test
		figure, dbm, interval := splitPoint(*s.Result.Point, s.Result.Setup.LevelKind)
		word := "no limit given"
		if v := s.Verdict(); v != nil {
			word = say.PointVerdict(*v, *s.Result)
		}
		for i, text := range []string{figure, dbm, strings.TrimPrefix(interval, "95 %: "), word} {
			rows[i] = append(rows[i], orDash(text))
		}
	}
	changes := []string{"-", "-", "-", "-"}
	if c := r.pointChange(); c != nil && c.Figure.OK() {
		head, interval, _ := strings.Cut(change(c), ", ")
		changes = []string{head, "-", say.Joined(", ", strings.TrimPrefix(interval, "95 %: "), beyondUncertainty(c)), "-"}
	}
	for i := range rows {
		rows[i] = append(rows[i], changes[i])
	}
	return append(rows, strongest(r)...)
}

// strongest are figures at the strongest level of each round, where the set's
// audio shows without its front end. They were not compared.
func strongest(r resultRounds) [][]string {
	var rows [][]string
	for _, s := range []say.Shown{{Name: analyze.SINAD, Label: "SINAD"},
		{Name: analyze.THD, Label: "distortion (THD)"}, {Name: analyze.HumLevel, Label: "hum"}} {
		cells, known := []string{s.Label + " at the strongest level"}, false
		for _, round := range r.Rounds {
			text := "-"
			if all := round.Test.Result.Series(); len(all) > 0 {
				if x := all[len(all)-1].Measured.Get(s.Name); x.OK() {
					text, known = say.Brief(x), true
				}
			}
			cells = append(cells, text)
		}
		if known {
			rows = append(rows, append(cells, "not compared"))
		}
	}
	return rows
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

// sensitivityPages are how the test was made, its curves and tables, limits and budget.
func sensitivityPages(r resultRounds) []doc.Block {
	newest := r.Rounds[len(r.Rounds)-1].Test
	blocks := []doc.Block{doc.Heading{Text: r.named("Sensitivity, " + newest.Result.Setup.Criterion.Label())}, testTable(r), keyTable(r), bothRounds(r)}
	if c := audioCurve(r); len(c.Traces) > 0 {
		blocks = append(blocks, c)
	}
	for _, round := range r.Rounds {
		s := sheet.Series(round.Test)
		s.Table.Caption = "Audio is relative to the strongest level; noise is what remains of the sound, through the filter."
		blocks = append(blocks, doc.Heading{Text: say.Round(round.Name) + ": readings", Level: 1}, s.Table)
		if more := furtherReadings(round.Test); len(more.Rows) > 0 {
			blocks = append(blocks, more)
		}
		a := sheet.PointAnswer(round.Test)
		blocks = append(blocks, a)
		notes := append(alike(s.Notes), sheet.PointNotes(round.Test)...)
		if len(notes) > 0 {
			blocks = append(blocks, doc.Notes{Items: notes})
		}
	}
	if t := budgetTable(r); len(t.Rows) > 0 {
		blocks = append(blocks, doc.Heading{Text: "Uncertainty of the sensitivity", Level: 1}, t,
			doc.Paragraph{Text: "Standard uncertainties; the 95 % interval is 1.96 times their root-sum-square (ETSI TR 100 028). What both rounds share cancels in the change."})
	}
	return blocks
}

// keyTable is the point in every round, with its change.
func keyTable(r resultRounds) doc.Table {
	return doc.Table{Columns: append(sensitivityColumns(r, "figure"), doc.Column{Head: "change"}), Rows: keyFigures(r)}
}

// fileAndFigures are what notes on several recordings differ in.
var fileAndFigures = regexp.MustCompile(`^[^ ]+: |[+-]?[0-9]+([.,][0-9]+)?`)

// alike joins notes that say the same of several recordings: the first one whole, with the
// marks of all.
func alike(notes []doc.Note) (all []doc.Note) {
	at := map[string]int{}
	for _, n := range notes {
		shape := fileAndFigures.ReplaceAllString(n.Text, "#")
		if i, has := at[shape]; has && n.Mark != "" {
			all[i].Mark += ", " + n.Mark
			continue
		}
		at[shape] = len(all)
		all = append(all, n)
	}
	return all
}

// testTable is how the test was made in each round.
func testTable(r resultRounds) doc.Table {
	t := doc.Table{Columns: sensitivityColumns(r, "test")}
	for _, row := range []struct {
		label string
		of    func(job.Setup) string
	}{
		{"criterion", func(s job.Setup) string { return s.Criterion.Label() }},
		{"filter", func(s job.Setup) string { return say.Filter(s.Reading.Filter) }},
		{"tone", func(s job.Setup) string { return say.Hertz(s.Reading.Tone()) }},
		{"modulation", modulation},
		{"levels", func(s job.Setup) string {
			return "\u00b5V " + say.LevelKind(s.LevelKind) + " at the set, after " + say.DB(s.Path.PadDB) + " of pad and cable"
		}},
	} {
		cells := []string{row.label}
		for _, round := range r.Rounds {
			cells = append(cells, orNotStated(row.of(round.Test.Result.Setup)))
		}
		t.Rows = append(t.Rows, cells)
	}
	return t
}

func modulation(s job.Setup) string {
	switch {
	case s.Deviation != 0:
		return "deviation " + say.Hertz(s.Deviation)
	case s.Depth != 0:
		return "depth " + say.Significant(s.Depth, 3) + " %"
	}
	return ""
}

func sensitivityColumns(r resultRounds, first string) []doc.Column {
	columns := []doc.Column{{Head: first}}
	for _, round := range r.Rounds {
		columns = append(columns, doc.Column{Head: say.LowerFirst(say.Round(round.Name))})
	}
	return columns
}

// bothRounds is the curves of all rounds in one picture.
func bothRounds(r resultRounds) doc.Curve {
	c := doc.Curve{}
	for i, round := range r.Rounds {
		one := sheet.SeriesCurve(round.Test)
		if i == 0 {
			c = one
			c.Traces = nil
		}
		if c.Limit == nil {
			c.Limit = one.Limit
		}
		full := sheet.Trace(round.Test)
		full.Name, full.Style = say.LowerFirst(say.Round(round.Name)), sheet.Style(round.Name, i)
		c.Traces = append(c.Traces, full)
	}
	c.Title, c.Note = c.Y.Name+" against level, with 95 % intervals", ""
	if c.Limit != nil {
		c.Limit.Label = "limit " + say.Limit(limitOf(r), r.Rounds[0].Test.Result.Setup.LevelKind)
	}
	sheet.CloseUp(&c)
	c.Says = c.Title + ". " + sheet.Finding(r.Rounds)
	return c
}

func limitOf(r resultRounds) job.Limit {
	for i := len(r.Rounds) - 1; i >= 0; i-- {
		if v := r.Rounds[i].Test.Verdict(); v != nil {
			return v.Limit
		}
	}
	return job.Limit{}
}

// audioCurve is recovered audio and noise against level.
func audioCurve(r resultRounds) doc.Curve {
	c := doc.Curve{Title: "Recovered audio and noise against level", X: doc.Axis{Name: "level", Unit: "dBm"},
		Y: doc.Axis{Name: "level of the sound", Unit: "dBFS"}}
	if r.Rounds[0].Test.Result.Point.Level.Scale == unit.Relative {
		c.X.Unit = "dB"
	}
	var ends []string
	for k, round := range r.Rounds {
		for i, what := range []struct{ name, label string }{{analyze.ToneLevel, "audio"}, {analyze.NoiseLevel, "noise"}} {
			points := sheet.Dots(round.Test.Result.Series(), func(row analyze.Used) analyze.Reading { return row.Measured.Get(what.name) })
			if len(points) > 1 {
				ends = append(ends, fromTo(say.LowerFirst(say.Round(round.Name))+", "+what.label, points, c))
				c.Traces = append(c.Traces, doc.Trace{Name: say.LowerFirst(say.Round(round.Name)) + ", " + what.label,
					Style: sheet.Style(round.Name, k) + 2*i, Points: points})
			}
		}
	}
	c.Says = c.Title + ". " + say.Sentence(strings.Join(ends, "; "))
	return c
}

// fromTo is a trace at its strongest and at its weakest level, in words.
func fromTo(name string, points []doc.Dot, c doc.Curve) string {
	at := func(d doc.Dot) string {
		return say.Significant(d.Y, 3) + " " + c.Y.Unit + " at " + say.Significant(d.X, 4) + " " + c.X.Unit
	}
	byLevel := func(a, b doc.Dot) int { return cmp.Compare(a.X, b.X) }
	return name + ": " + at(slices.MaxFunc(points, byLevel)) + ", " + at(slices.MinFunc(points, byLevel))
}
