package report

import (
	"fmt"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/doc/sheet"
)

// Compare is the document of rounds side by side: what is compared, every figure
// with its change or its place in the spread, and the curves in one picture.
// all asks for every curve; else there is that of the sensitivity only.
func Compare(c reports.Compare, issued string, all bool) doc.Document {
	d := doc.Document{Title: "Comparison: " + compared(c), Issued: issued,
		Made: strings.TrimSpace(reports.Tool + " " + c.Version), Running: "Comparison"}
	for _, s := range c.Sides {
		if s.Facts.Simulated != "" {
			d.Mark = s.Facts.Simulated
		}
	}
	d.Blocks = append(d.Blocks, sidesTable(c))
	if c.Shared != "" {
		d.Blocks = append(d.Blocks, doc.Paragraph{Text: say.Sentence(c.Shared)})
	} else {
		d.Blocks = append(d.Blocks, doc.Paragraph{Text: "Nothing is known to be shared, so each generator's stated uncertainty counts."})
	}
	if len(c.Differences) == 0 {
		d.Blocks = append(d.Blocks, notCompared(c)...)
		return d
	}
	var why reasonNotes
	figures := differenceTable(c, &why, all)
	d.Blocks = append(d.Blocks, doc.Heading{Text: "Figures", Level: 1}, figures)
	if slices.ContainsFunc(figures.Rows, func(row []string) bool { return strings.Contains(row[0], " !") }) {
		d.Blocks = append(d.Blocks, doc.Paragraph{Text: "Behind ! stand the warnings on what a figure was made from; the reports of the jobs say more of them."})
	}
	if len(why.notes) > 0 {
		d.Blocks = append(d.Blocks, doc.Notes{Items: why.notes})
	}
	if !all {
		d.Blocks = append(d.Blocks, doc.Paragraph{Text: "This lists each test's main figure and every change; --out and --json list everything."})
	}
	if len(c.Sides) > 2 {
		d.Blocks = append(d.Blocks, doc.Paragraph{Text: "Expected is where one more set like the earlier ones lies with a probability of 95 %: mean \u00b1t s \u221a(1 + 1/n), Student's t with n \u2212 1 degrees of freedom."})
	}
	d.Blocks = append(d.Blocks, compareCurves(c, all)...)
	return d
}

func compared(c reports.Compare) string {
	var names []string
	for _, s := range c.Sides {
		names = append(names, s.Label)
	}
	if len(names) > 3 {
		return fmt.Sprintf("%s against %d earlier jobs", names[len(names)-1], len(names)-1)
	}
	return strings.Join(names, " and ")
}

func sidesTable(c reports.Compare) doc.Table {
	t := doc.Table{Columns: []doc.Column{{Head: "side"}, {Head: "job"}, {Head: "set"}, {Head: "round"}, {Head: "verdict"}}}
	for _, s := range c.Sides {
		word := ""
		if o := s.Round.Overall.Outcome; o != "" {
			word = say.Verdicts[o].Word
			if o == limit.Undecided {
				word = "NOT FINISHED"
			}
		}
		t.Rows = append(t.Rows, []string{s.Label, s.Facts.Job, s.Facts.Set, say.LowerFirst(say.Round(s.Round.Name)), word})
	}
	return t.WithoutEmpty()
}

// reasonNotes are why figures were not compared, each once.
type reasonNotes struct{ notes []doc.Note }

func (w *reasonNotes) mark(text string) string {
	for _, n := range w.notes {
		if n.Text == text {
			return "note " + n.Mark
		}
	}
	w.notes = append(w.notes, doc.Note{Mark: fmt.Sprint(len(w.notes) + 1), Text: text})
	return "note " + w.notes[len(w.notes)-1].Mark
}

func differenceTable(c reports.Compare, w *reasonNotes, all bool) doc.Table {
	t := doc.Table{Columns: []doc.Column{{Head: "figure"}}}
	spread := len(c.Sides) > 2
	if spread {
		t.Columns = append(t.Columns, doc.Column{Head: c.Sides[len(c.Sides)-1].Label}, doc.Column{Head: "earlier"},
			doc.Column{Head: "mean"}, doc.Column{Head: "s"}, doc.Column{Head: "expected"}, doc.Column{Head: "lies"})
	} else {
		for _, s := range c.Sides {
			t.Columns = append(t.Columns, doc.Column{Head: s.Label})
		}
		t.Columns = append(t.Columns, doc.Column{Head: "change"}, doc.Column{Head: "significant"})
	}
	for _, d := range sensitivityFirst(c.Differences) {
		if !all && !telling(c, d) {
			continue
		}
		row := []string{say.Joined(" ", say.Joined(", ", say.FigureOf(d.Kind, d.Figure), d.Test), markOf(roundsOf(c), d.Kind, d.Test))}
		if spread {
			row = append(row, spreadCells(d, w)...)
		} else {
			row = append(row, changeCells(d, w)...)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// sensitivityFirst is the order of reports.
func sensitivityFirst(all []reports.Difference) []reports.Difference {
	sorted := slices.Clone(all)
	slices.SortStableFunc(sorted, func(a, b reports.Difference) int {
		rank := map[bool]int{true: 0, false: 1}
		return rank[a.Kind == job.KindSensitivity] - rank[b.Kind == job.KindSensitivity]
	})
	return sorted
}

// telling tells whether a difference belongs into a short table: the first
// figure of its test, or one that changed.
func telling(c reports.Compare, d reports.Difference) bool {
	if d.Significant || d.Spread != nil && d.Spread.Outside {
		return true
	}
	t := c.Sides[len(c.Sides)-1].Round.Find(d.Kind, d.Test)
	return t != nil && (len(t.Result.Figures) == 0 || t.Result.Figures[0].Name == d.Figure)
}

// moreSensitive is a change of sensitivity in a few words.
func moreSensitive(r analyze.Reading) string {
	way := "more"
	if r.Value < 0 {
		r.Value, r.Low, r.High, way = -r.Value, -r.High, -r.Low, "less"
	}
	return say.Brief(r) + " " + way + " sensitive"
}

// roundsOf are the rounds of all sides.
func roundsOf(c reports.Compare) (rounds []reports.Round) {
	for _, s := range c.Sides {
		rounds = append(rounds, s.Round)
	}
	return rounds
}

func valueCell(v analyze.Reading) string {
	if !v.OK() {
		return "-"
	}
	return say.Brief(v)
}

func changeCells(d reports.Difference, w *reasonNotes) []string {
	var cells []string
	for _, v := range d.Values {
		cells = append(cells, valueCell(v))
	}
	switch {
	case d.Change == nil:
		return append(cells, "-", w.mark(d.Why))
	case d.Kind == job.KindSensitivity:
		cells = append(cells, moreSensitive(*d.Change))
	default:
		cells = append(cells, signed(*d.Change))
	}
	switch {
	case !d.Change.HasInterval():
		return append(cells, "not known")
	case d.Significant:
		return append(cells, "yes")
	}
	return append(cells, "no")
}

func spreadCells(d reports.Difference, w *reasonNotes) []string {
	this := d.Values[len(d.Values)-1]
	cells := []string{valueCell(this)}
	s := d.Spread
	switch {
	case s == nil:
		return append(cells, "", "", "", "", w.mark(d.Why))
	case s.Why != "":
		mean := "-"
		if s.Count > 0 {
			mean = say.Bare(s.Mean, 2).Value
		}
		return append(cells, fmt.Sprint(s.Count), mean, "-", "-", w.mark(s.Why))
	}
	n := say.Between(s.Mean, s.Low, s.High, 3)
	lies := "within"
	if s.Outside {
		lies = "OUTSIDE"
	}
	return append(cells, fmt.Sprint(s.Count), n.Value, say.Significant(s.SD, 2), n.Low+" to "+n.High, lies)
}

// canCompare tells whether any figure of a test could be compared; lines of tests
// that were made in different ways do not belong into one picture.
func canCompare(c reports.Compare, t reports.Test) bool {
	return slices.ContainsFunc(c.Differences, func(d reports.Difference) bool {
		return d.Kind == t.Kind && d.Test == t.Name && (d.Change != nil || d.Spread != nil)
	})
}

// compareCurves are the curves of all sides, overlaid.
func compareCurves(c reports.Compare, all bool) []doc.Block {
	var blocks []doc.Block
	r := reports.Job{Version: c.Version}
	for _, s := range c.Sides {
		round := s.Round
		round.Name = s.Label
		r.Rounds = append(r.Rounds, round)
	}
	for _, t := range c.Sides[len(c.Sides)-1].Round.Tests {
		if !canCompare(c, t) {
			continue
		}
		one := resultOf(r, t.Kind, t.Name)
		if t.Result.Point != nil {
			blocks = append(blocks, doc.Heading{Text: one.named("Sensitivity, " + t.Result.Setup.Criterion.Label()),
				Level: 1}, bothRounds(one))
			if a := audioCurve(one); all && len(c.Sides) == 2 && len(a.Traces) > 0 {
				blocks = append(blocks, a)
			}
			continue
		}
		if !all {
			continue
		}
		if curves := sheet.Curves(one.Rounds); len(curves) > 0 {
			blocks = append(blocks, doc.Heading{Text: say.Joined(", ", say.UpperFirst(say.Kind(t.Kind)), t.Name), Level: 1})
			for _, k := range curves {
				blocks = append(blocks, k)
			}
		}
	}
	return slices.Clip(blocks)
}

// notCompared says why nothing could be compared.
func notCompared(c reports.Compare) []doc.Block {
	t := doc.Table{Columns: []doc.Column{{}, {}}}
	for _, s := range c.Sides {
		if len(s.Round.Tests) == 0 {
			t.Rows = append(t.Rows, []string{s.Label, "it has no test yet"})
		}
	}
	for _, d := range c.Differences {
		text := d.Why
		if d.Spread != nil && d.Spread.Why != "" {
			text = d.Spread.Why
		}
		if text != "" && telling(c, d) {
			t.Rows = append(t.Rows, []string{say.Joined(", ", say.FigureOf(d.Kind, d.Figure), d.Test), say.Why(analyze.Why(text))})
		}
	}
	if len(t.Rows) == 0 {
		return []doc.Block{doc.Paragraph{Text: "Nothing could be compared: the two have no figure in common."}}
	}
	return []doc.Block{doc.Paragraph{Text: "Nothing could be compared:"}, t}
}

// CompareAnswer is the shortest answer: what lies beyond its uncertainty, or
// outside of the spread.
func CompareAnswer(c reports.Compare) doc.Document {
	t := doc.Table{Columns: []doc.Column{{}, {}}}
	for _, d := range c.Differences {
		label := say.Joined(", ", say.FigureOf(d.Kind, d.Figure), d.Test)
		mark := markOf(roundsOf(c), d.Kind, d.Test)
		switch {
		case d.Change != nil && d.Kind == job.KindSensitivity:
			t.Rows = append(t.Rows, []string{label, say.Joined(" ", change(&reports.Change{Figure: *d.Change}), mark)})
		case d.Change != nil && d.Significant:
			t.Rows = append(t.Rows, []string{label, say.Joined(" ", signed(*d.Change), mark)})
		case d.Spread != nil && d.Spread.Outside:
			n := say.Between(d.Spread.Mean, d.Spread.Low, d.Spread.High, 3)
			t.Rows = append(t.Rows, []string{label, say.Brief(d.Values[len(d.Values)-1]) +
				say.Joined(" ", " lies outside "+n.Low+" to "+n.High, mark)})
		}
	}
	if len(t.Rows) == 0 && !c.Any() {
		return doc.Document{Blocks: notCompared(c)}
	}
	if len(t.Rows) == 0 {
		return doc.Document{Blocks: []doc.Block{doc.Paragraph{Text: "Nothing differs by more than its uncertainty."}}}
	}
	return doc.Document{Blocks: []doc.Block{t}}
}
