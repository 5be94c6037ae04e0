package report

import (
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/doc/sheet"
)

// further are the readings that the table of the series has no room for.
var further = []struct{ name, head, unit string }{
	{analyze.SNR, "S/N", "dB"}, {analyze.THD, "THD", "%"}, {analyze.THDN, "THD+N", "%"}, {analyze.ToneLevel, "tone", "dBFS"},
	{analyze.ToneFrequency, "tone", "Hz"}, {analyze.HumLevel, "hum", "dBFS"}, {analyze.HumFrequency, "mains", "Hz"},
	{analyze.Level, "level", "dBFS"}, {analyze.Peak, "peak", "dBFS"}, {analyze.DCOffset, "DC", "%"},
	{analyze.LevelVolts, "level", "V"}, {analyze.Power, "power", "W"},
}

func furtherReadings(s reports.Test) doc.Table {
	rows := s.Result.Series()
	t := doc.Table{Caption: "Further readings of the same recordings.",
		Columns: []doc.Column{{Head: "level", Unit: levelUnit(s), Align: doc.Decimal}}}
	relative := s.Result.Point.Level.Scale == unit.Relative
	for i := len(rows) - 1; i >= 0; i-- {
		t.Rows = append(t.Rows, []string{sheet.LevelCells(rows[i].Level, s.Result.Setup.LevelKind, relative)[0]})
	}
	for _, f := range further {
		cells, known := make([]string, len(rows)), false
		for i := range rows {
			r := rows[len(rows)-1-i].Measured.Get(f.name)
			if r.Name == analyze.DCOffset {
				r.Value, r.Low, r.High, r.Unit = 100*r.Value, 100*r.Low, 100*r.High, "%"
			}
			cells[i] = "-"
			if r.OK() {
				cells[i], known = say.Reading(r).Value, true
			}
		}
		if !known {
			continue
		}
		t.Columns = append(t.Columns, doc.Column{Head: f.head, Unit: f.unit, Align: doc.Decimal})
		for i := range t.Rows {
			t.Rows[i] = append(t.Rows[i], cells[i])
		}
	}
	if len(t.Columns) == 1 {
		return doc.Table{}
	}
	return t
}

func levelUnit(s reports.Test) string {
	if s.Result.Point.Level.Scale == unit.Relative {
		return "dB"
	}
	return "\u00b5V " + say.LevelKind(s.Result.Setup.LevelKind)
}

// limitBlocks are all limits of the newest round, with their sources and
// standing, and the rules by which they were judged.
func limitBlocks(parts []part, round string) []doc.Block {
	t := doc.Table{Columns: []doc.Column{{Head: "figure"}, {Head: "limit"},
		{Head: say.Joined(", ", "verdict", say.LowerFirst(say.Round(round)))}, {Head: "holds for"},
		{Head: "source, standing, notes"}}}
	var rules []string
	for _, p := range parts {
		for _, v := range p.verdicts {
			t.Rows = append(t.Rows, v.row)
			if text := say.Sentence(ruleText(v.rule)); !slices.Contains(rules, text) {
				rules = append(rules, text)
			}
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	blocks := []doc.Block{doc.Heading{Text: "Limits and rule", Level: 1}, t.WithoutEmpty()}
	for _, r := range rules {
		blocks = append(blocks, doc.Paragraph{Text: "Rule: " + say.LowerFirst(r)})
	}
	return blocks
}

func ruleText(rule string) string {
	if rule == job.ByValue {
		return "by value: the value alone decides, whatever its interval"
	}
	return "guarded: pass if the whole 95 % interval is inside the limit, fail if it is wholly outside, else too close to call (ISO 14253-1, ILAC-G8)"
}

// budgetTable is what the intervals are made of, with the shares of each.
func budgetTable(r resultRounds) doc.Table {
	t := doc.Table{Columns: []doc.Column{{Head: "contribution"}}}
	var names []string
	squares := make([]float64, len(r.Rounds))
	at := make([]map[string]float64, len(r.Rounds))
	for i, round := range r.Rounds {
		at[i] = map[string]float64{}
		name := say.LowerFirst(say.Round(round.Name))
		t.Columns = append(t.Columns, doc.Column{Head: name, Unit: "dB", Align: doc.Decimal},
			doc.Column{Head: "share", Unit: "%", Align: doc.Decimal})
		for _, s := range round.Test.Result.Point.Shares {
			if _, has := at[i][s.Name]; !has && !slices.Contains(names, s.Name) {
				names = append(names, s.Name)
			}
			at[i][s.Name] = s.DB
			squares[i] += s.DB * s.DB
		}
	}
	for _, name := range names {
		label := say.Shares[name]
		if label == "" {
			label = name
		}
		cells := []string{label}
		for i := range r.Rounds {
			cells = append(cells, shareCells(at[i][name], squares[i])...)
		}
		t.Rows = append(t.Rows, cells)
	}
	if len(names) == 0 {
		return doc.Table{}
	}
	total := []string{"all together"}
	for i := range r.Rounds {
		total = append(total, shareCells(math.Sqrt(squares[i]), squares[i])...)
	}
	t.Rows = append(append(t.Rows, total), oneSidedRows(r)...)
	return t
}

// oneSidedRows are what makes a point read too high only, and so is no part of the
// root-sum-square.
func oneSidedRows(r resultRounds) [][]string {
	cells, known := []string{say.Shares[limit.ShareCardNoise] + ", to the lower end"}, false
	for _, round := range r.Rounds {
		dB := 0.0
		for _, s := range round.Test.Result.Point.ReadsHigh {
			dB += s.DB
		}
		value := "-"
		if dB > 0 {
			value, known = say.Bare(dB, 2).Value, true
		}
		cells = append(cells, value, "")
	}
	if !known {
		return nil
	}
	return [][]string{cells}
}

func shareCells(db, squares float64) []string {
	if squares == 0 {
		return []string{"-", "-"}
	}
	return []string{say.Bare(db, 2).Value, say.Bare(100*db*db/squares, 0).Value}
}

// takesOf are the recordings of a series, strongest first.
func takesOf(s reports.Test) []take {
	var all []take
	rows := s.Result.Series()
	for i := len(rows) - 1; i >= 0; i-- {
		all = append(all, takeOf("", say.Level(rows[i].Level, s.Result.Setup.LevelKind), rows[i].Measured))
	}
	return all
}
