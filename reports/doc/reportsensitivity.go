package doc

import (
	"fmt"
	"math"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
)

// sensitivityPart is what the sensitivity test puts into a report.
func sensitivityPart(r reports.Job) (part, bool) {
	if len(r.Rounds) == 0 {
		return part{}, false
	}
	newest := r.Rounds[len(r.Rounds)-1].Sensitivity
	p := part{name: "sensitivity (" + newest.Result.Test.Criterion.Label() + ")", takes: map[string][]take{}}
	for _, round := range r.Rounds {
		p.cards = append(p.cards, pointCard(round))
		p.takes[round.Name] = takesOf(round.Sensitivity)
	}
	if c := r.Change; c != nil && c.Sensitivity.OK() {
		p.cards = append(p.cards, changeCard(c))
	}
	p.sentences = plainWords(r)
	if v := newest.Verdict; v != nil {
		p.verdict = &judged{outcome: v.Outcome, why: v.Why, of: fmt.Sprintf("%s at %s %s%s", newest.Result.Test.Criterion.Label(), boundPhrase(v.Limit.Bound), LimitFigure(v.Limit), bracketed(v.Limit.Source))}
	}
	p.key = keyFigures(r)
	p.technical = sensitivityPages(r)
	return p, true
}

func boundPhrase(bound string) string {
	if bound == job.AtLeast {
		return "no less than"
	}
	return "no more than"
}

func bracketed(s string) string {
	if s == "" {
		return ""
	}
	return " (" + s + ")"
}

// splitPoint takes a point's text apart: the figure, dBm and interval.
func splitPoint(p analyze.Point, kind unit.LevelKind) (figure, dbm, interval string) {
	switch p.Status {
	case analyze.BelowRange:
		return "below " + SetLevel(p.Level, kind), "", ""
	case analyze.AboveRange:
		return "above " + SetLevel(p.Level, kind), "", ""
	case analyze.Found:
	default:
		return "not found", "", ""
	}
	head, interval, _ := strings.Cut(pointText(p, kind), ", ")
	figure, dbm, _ = strings.Cut(head, " (")
	return figure, strings.TrimSuffix(dbm, ")"), interval
}

func pointCard(round reports.Round) Card {
	s := round.Sensitivity
	figure, dbm, interval := splitPoint(s.Result.Point, s.Result.Test.Kind)
	c := Card{Label: roundNames[round.Name] + ", " + s.Result.Test.Criterion.Label(), Figure: figure, Note: joined("; ", dbm, interval)}
	if s.Result.Point.Status != analyze.Found {
		c.Note = s.Result.Point.Why
	}
	if s.Verdict != nil {
		w := verdictWords[s.Verdict.Outcome]
		c.Verdict, c.Outcome = w.word, w.outcome
	}
	return c
}

// joined is the texts that are not empty.
func joined(sep string, texts ...string) string {
	var all []string
	for _, t := range texts {
		if t != "" {
			all = append(all, t)
		}
	}
	return strings.Join(all, sep)
}

func changeCard(c *reports.Change) Card {
	head, interval, _ := strings.Cut(change(c), ", ")
	return Card{Label: "Change", Figure: head, Note: joined("; ", interval, beyondUncertainty(c))}
}

// beyondUncertainty says whether a change is more than chance may make it.
func beyondUncertainty(c *reports.Change) string {
	switch {
	case !c.Sensitivity.HasInterval():
		return "its uncertainty is not known"
	case c.Significant:
		return "beyond its uncertainty"
	}
	return "within its uncertainty"
}

// plainWords say what sensitivity is and what became of it.
func plainWords(r reports.Job) []string {
	text := []string{"Sensitivity is how weak a signal may be and still be readable: the less, the better."}
	verbs := map[string][2]string{reports.AsFound: {"As it came in, the set needed ", "As it came in, the test did not give a figure"},
		reports.AsLeft: {"As it leaves, it needs ", "As it leaves, the test did not give a figure"}}
	for _, round := range r.Rounds {
		p, v := round.Sensitivity.Result.Point, verbs[round.Name]
		figure, _, _ := splitPoint(p, round.Sensitivity.Result.Test.Kind)
		switch {
		case p.Status != analyze.Found && p.Status != analyze.BelowRange && p.Status != analyze.AboveRange, p.Level.Scale == unit.Relative:
			text = append(text, v[1]+".")
		default:
			text = append(text, v[0]+strings.Replace(strings.Replace(figure, "above", "more than", 1), "below", "less than", 1)+" at its aerial socket.")
		}
	}
	if c := r.Change; c != nil && c.Sensitivity.OK() {
		text = append(text, changeInWords(c))
	}
	return []string{strings.Join(text, " ")}
}

func changeInWords(c *reports.Change) string {
	r := c.Sensitivity
	if r.HasInterval() && !c.Significant {
		return "The difference is not more than the uncertainty of the measurement."
	}
	ratio := Significant(math.Pow(10, math.Abs(r.Value)/10), 2)
	if r.Value < 0 {
		return "It now needs about " + ratio + " times the signal power."
	}
	return "It now does with about 1/" + ratio + " of the signal power."
}

// keyFigures are rows of label, a cell a round, and the change.
func keyFigures(r reports.Job) [][]string {
	first := r.Rounds[0].Sensitivity.Result.Test
	rows := [][]string{{first.Criterion.Label() + " at"}, {"the same in dBm"}, {"95 % interval"}, {"verdict"}}
	for _, round := range r.Rounds {
		s := round.Sensitivity
		figure, dbm, interval := splitPoint(s.Result.Point, s.Result.Test.Kind)
		word := "no limit given"
		if s.Verdict != nil {
			word = verdictWords[s.Verdict.Outcome].word
		}
		for i, text := range []string{figure, dbm, strings.TrimPrefix(interval, "95 %: "), word} {
			rows[i] = append(rows[i], orDash(text))
		}
	}
	changes := []string{"-", "-", "-", "-"}
	if c := r.Change; c != nil && c.Sensitivity.OK() {
		head, interval, _ := strings.Cut(change(c), ", ")
		changes = []string{head, "-", joined(", ", strings.TrimPrefix(interval, "95 %: "), beyondUncertainty(c)), "-"}
	}
	for i := range rows {
		rows[i] = append(rows[i], changes[i])
	}
	return append(rows, strongest(r)...)
}

// strongest are figures at the strongest level of each round, where the set's
// audio shows without its front end. They were not compared.
func strongest(r reports.Job) [][]string {
	var rows [][]string
	for _, s := range []shown{{analyze.SINAD, "SINAD"}, {analyze.THD, "distortion (THD)"}, {analyze.HumLevel, "hum"}} {
		cells, any := []string{s.label + " at the strongest level"}, false
		for _, round := range r.Rounds {
			text := "-"
			if all := round.Sensitivity.Result.Series.Rows; len(all) > 0 {
				if x := all[len(all)-1].Measured.Get(s.name); x.OK() {
					text, any = brief(x), true
				}
			}
			cells = append(cells, text)
		}
		if any {
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
func sensitivityPages(r reports.Job) []Block {
	newest := r.Rounds[len(r.Rounds)-1].Sensitivity
	blocks := []Block{Heading{Text: "Sensitivity, " + newest.Result.Test.Criterion.Label(), Break: true}, testTable(r), bothRounds(r)}
	if c := audioCurve(r); len(c.Traces) > 0 {
		blocks = append(blocks, c)
	}
	for _, round := range r.Rounds {
		s := seriesOf(round.Sensitivity)
		s.table.Caption = "Audio is relative to the strongest level; noise is what remains of the sound, through the filter."
		blocks = append(blocks, Heading{Text: roundNames[round.Name] + ": readings", Level: 1}, s.table)
		if more := furtherReadings(round.Sensitivity); len(more.Rows) > 0 {
			blocks = append(blocks, more)
		}
		a := SensitivityAnswer(round.Sensitivity)
		blocks = append(blocks, a)
		notes := append(s.notes, pointNotes(round.Sensitivity)...)
		if len(notes) > 0 {
			blocks = append(blocks, Notes{notes})
		}
	}
	if v := newest.Verdict; v != nil {
		blocks = append(blocks, Heading{Text: "Limit and rule", Level: 1}, limitTable(v.Limit, v.Rule))
	}
	if t := budgetTable(r); len(t.Rows) > 0 {
		blocks = append(blocks, Heading{Text: "Uncertainty of the sensitivity", Level: 1}, t,
			Paragraph{"Standard uncertainties; the 95 % interval is 1.96 times their root-sum-square (ETSI TR 100 028). What both rounds share cancels in the change."})
	}
	return blocks
}

// testTable is how the test was made in each round.
func testTable(r reports.Job) Table {
	t := Table{Columns: roundColumns(r, "test")}
	for _, row := range []struct {
		label string
		of    func(job.Sensitivity) string
	}{
		{"criterion", func(s job.Sensitivity) string { return s.Criterion.Label() }},
		{"filter", func(s job.Sensitivity) string { return filterName(s.Reading.Filter) }},
		{"tone", func(s job.Sensitivity) string { return hertz(s.Reading.Tone()) }},
		{"modulation", modulation},
		{"levels", func(s job.Sensitivity) string {
			return "\u00b5V " + kindWord(s.Kind) + " at the set, after " + dB(s.Path.PadDB) + " of pad and cable"
		}},
	} {
		cells := []string{row.label}
		for _, round := range r.Rounds {
			cells = append(cells, orNotStated(row.of(round.Sensitivity.Result.Test)))
		}
		t.Rows = append(t.Rows, cells)
	}
	return t
}

func modulation(s job.Sensitivity) string {
	switch {
	case s.Deviation != 0:
		return "deviation " + hertz(s.Deviation)
	case s.Depth != 0:
		return "depth " + Significant(s.Depth, 3) + " %"
	}
	return ""
}

// bothRounds is the curves of all rounds in one picture.
func bothRounds(r reports.Job) Curve {
	c := Curve{}
	var says []string
	for i, round := range r.Rounds {
		one := sensitivityCurve(reports.Sensitivity{Result: round.Sensitivity.Result, Verdict: round.Sensitivity.Verdict})
		if i == 0 {
			c = one
			c.Traces = nil
		}
		if c.Limit == nil {
			c.Limit = one.Limit
		}
		full := sensitivityTrace(round.Sensitivity)
		full.Name, full.Style = lowerFirst(roundNames[round.Name]), styleOf(round.Name)
		c.Traces = append(c.Traces, full)
		says = append(says, full.Name+": "+SensitivityAnswer(round.Sensitivity).Parts[0])
	}
	c.Title, c.Note = c.Y.Name+" against level, with 95 % intervals", ""
	if c.Limit != nil {
		c.Limit.Label = "limit " + LimitFigure(limitOf(r))
	}
	c.closeUp()
	c.Says = c.Title + ". " + sentence(strings.Join(says, "; ")) + " The figures stand in the tables."
	return c
}

// styleOf keeps one look for a round in all pictures.
func styleOf(round string) int {
	if round == reports.AsLeft {
		return 1
	}
	return 0
}

func limitOf(r reports.Job) job.Limit {
	for i := len(r.Rounds) - 1; i >= 0; i-- {
		if v := r.Rounds[i].Sensitivity.Verdict; v != nil {
			return v.Limit
		}
	}
	return job.Limit{}
}

// audioCurve is recovered audio and noise against level.
func audioCurve(r reports.Job) Curve {
	c := Curve{Title: "Recovered audio and noise against level", X: Axis{"level", "dBm"}, Y: Axis{"level of the sound", "dBFS"}}
	if r.Rounds[0].Sensitivity.Result.Series.Unit == "dB" {
		c.X.Unit = "dB"
	}
	for _, round := range r.Rounds {
		for i, what := range []struct{ name, label string }{{analyze.ToneLevel, "audio"}, {analyze.NoiseLevel, "noise"}} {
			points := dots(round.Sensitivity.Result.Series.Rows, func(row analyze.Row) analyze.Reading { return row.Measured.Get(what.name) })
			if len(points) > 1 {
				c.Traces = append(c.Traces, Trace{Name: lowerFirst(roundNames[round.Name]) + ", " + what.label, Style: styleOf(round.Name) + 2*i, Points: points})
			}
		}
	}
	c.Says = c.Title + ", for each round. The figures stand in the tables."
	return c
}

// further are the readings that the table of the series has no room for.
var further = []struct{ name, head, unit string }{
	{analyze.SNR, "S/N", "dB"}, {analyze.THD, "THD", "%"}, {analyze.THDN, "THD+N", "%"}, {analyze.ToneLevel, "tone", "dBFS"},
	{analyze.ToneFrequency, "tone", "Hz"}, {analyze.HumLevel, "hum", "dBFS"}, {analyze.HumFrequency, "mains", "Hz"},
	{analyze.Level, "level", "dBFS"}, {analyze.Peak, "peak", "dBFS"}, {analyze.DCOffset, "DC", "%"},
	{analyze.LevelVolts, "level", "V"}, {analyze.Power, "power", "W"},
}

func furtherReadings(s reports.Sensitivity) Table {
	rows := s.Result.Series.Rows
	t := Table{Caption: "Further readings of the same recordings.", Columns: []Column{{Head: "level", Unit: levelUnit(s), Align: Decimal}}}
	relative := s.Result.Series.Unit == "dB"
	for i := len(rows) - 1; i >= 0; i-- {
		t.Rows = append(t.Rows, []string{levelCells(rows[i].Level, s.Result.Test.Kind, relative)[0]})
	}
	for _, f := range further {
		cells, any := make([]string, len(rows)), false
		for i := range rows {
			r := rows[len(rows)-1-i].Measured.Get(f.name)
			if r.Name == analyze.DCOffset {
				r.Value, r.Low, r.High, r.Unit = 100*r.Value, 100*r.Low, 100*r.High, "%"
			}
			cells[i] = "-"
			if r.OK() {
				cells[i], any = OfReading(r).Value, true
			}
		}
		if !any {
			continue
		}
		t.Columns = append(t.Columns, Column{Head: f.head, Unit: f.unit, Align: Decimal})
		for i := range t.Rows {
			t.Rows[i] = append(t.Rows[i], cells[i])
		}
	}
	if len(t.Columns) == 1 {
		return Table{}
	}
	return t
}

func levelUnit(s reports.Sensitivity) string {
	if s.Result.Series.Unit == "dB" {
		return "dB"
	}
	return "\u00b5V " + kindWord(s.Result.Test.Kind)
}

// limitTable is a limit with its source and standing, and the rule.
func limitTable(l job.Limit, rule string) Table {
	profile := l.Profile
	if profile == "" {
		profile = "none; written beside the test"
	}
	return factTable([][2]string{
		{"Limit", boundWord(l.Bound) + " " + LimitFigure(l)}, {"Holds for", Conditions(l.Conditions)}, {"Source", source(l)},
		{"Standing", standing(l.Standing)}, {"Profile", profile}, {"Note", micro.Replace(l.Note)}, {"Rule", ruleText(rule)},
	})
}

func ruleText(rule string) string {
	if rule == job.ByValue {
		return "by value: the value alone is held against the limit, whatever its interval"
	}
	return "guarded: pass if the whole 95 % interval is inside the limit, fail if it is wholly outside, else too close to call (ISO 14253-1, ILAC-G8)"
}

// budgetTable is what the intervals are made of, with the shares of each.
func budgetTable(r reports.Job) Table {
	t := Table{Columns: []Column{{Head: "contribution"}}}
	var names []string
	squares := make([]float64, len(r.Rounds))
	at := make([]map[string]float64, len(r.Rounds))
	for i, round := range r.Rounds {
		at[i] = map[string]float64{}
		name := lowerFirst(roundNames[round.Name])
		t.Columns = append(t.Columns, Column{Head: name, Unit: "dB", Align: Decimal}, Column{Head: "share", Unit: "%", Align: Decimal})
		for _, s := range round.Sensitivity.Result.Point.Shares {
			if _, has := at[i][s.Name]; !has && !contains(names, s.Name) {
				names = append(names, s.Name)
			}
			at[i][s.Name] = s.DB
			squares[i] += s.DB * s.DB
		}
	}
	for _, name := range names {
		label := shareNames[name]
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
		return Table{}
	}
	total := []string{"all together"}
	for i := range r.Rounds {
		total = append(total, shareCells(math.Sqrt(squares[i]), squares[i])...)
	}
	t.Rows = append(t.Rows, total)
	return t
}

func shareCells(db, squares float64) []string {
	if squares == 0 {
		return []string{"-", "-"}
	}
	return []string{Bare(db, 2).Value, Bare(100*db*db/squares, 0).Value}
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// takesOf are the recordings of a series, strongest first.
func takesOf(s reports.Sensitivity) []take {
	var all []take
	rows := s.Result.Series.Rows
	for i := len(rows) - 1; i >= 0; i-- {
		m := rows[i].Measured
		all = append(all, take{
			level: SetLevel(rows[i].Level, s.Result.Test.Kind), file: channelName(m),
			used:   Significant(m.From, 5) + " to " + Significant(m.To, 5) + " s",
			format: fmt.Sprintf("%s kHz, %d bit", Significant(float64(m.Rate)/1000, 5), m.Origin.Bits),
			sha256: m.Origin.SHA256,
		})
	}
	return all
}
