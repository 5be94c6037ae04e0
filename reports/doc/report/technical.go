package report

import (
	"fmt"
	"slices"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// technical is all of the annex.
func technical(r reports.Job, j *job.Job, parts []part, issue reports.Issue, hashes bool) []doc.Block {
	blocks := []doc.Block{doc.Heading{Text: "Identification"}, identification(r, j, issue)}
	if t := conditionsTable(r, j); len(t.Rows) > 0 {
		blocks = append(blocks, doc.Heading{Text: "Conditions", Level: 1}, t)
	}
	for _, round := range r.Rounds {
		blocks = append(blocks, warnedRound(round)...)
	}
	blocks = append(blocks, limitBlocks(parts, newestName(r))...)
	var pictures []doc.Block
	for _, p := range parts {
		rest, curves := apart(p)
		blocks, pictures = append(blocks, rest...), append(pictures, curves...)
	}
	if pictures != nil {
		blocks = append(append(blocks, doc.Heading{Text: "Pictures"}), pictures...)
	}
	blocks = append(blocks, hintBlocks(r)...)
	blocks = append(blocks, byHand(r)...)
	if t := equipmentTable(j); len(t.Rows) > 0 {
		blocks = append(blocks, doc.Heading{Text: "Equipment", Level: 1}, t)
	}
	blocks = append(blocks, recordings(r, parts, hashes)...)
	blocks = append(blocks, methods(r)...)
	return append(blocks,
		doc.Heading{Text: "Cautions", Level: 1}, doc.Paragraph{Text: strings.Join(cautions, " ")},
		doc.Heading{Text: "About this report", Level: 1}, doc.Paragraph{Text: strings.Join(statements(j), " ")},
		doc.Paragraph{Text: "Measured and written by " + strings.TrimSpace(reports.Tool+" "+r.Version) + "."},
		doc.Paragraph{Text: "End of the report on job " + j.ID + "."})
}

func newestName(r reports.Job) string {
	if round := r.Newest(); round != nil {
		return round.Name
	}
	return ""
}

// apart takes the pictures out of a test's pages: they stand together, named after it.
func apart(p part) (rest, curves []doc.Block) {
	for _, b := range p.technical {
		c, is := b.(doc.Curve)
		if !is {
			rest = append(rest, b)
			continue
		}
		if len(c.Traces) == 0 {
			continue
		}
		if name, _, _ := strings.Cut(p.name, " ("); !strings.Contains(strings.ToLower(c.Title), strings.ToLower(name)) {
			c.Title = say.UpperFirst(name) + ": " + c.Title
		}
		curves = append(curves, c)
	}
	return rest, curves
}

func identification(r reports.Job, j *job.Job, issue reports.Issue) doc.Table {
	facts := [][2]string{
		{"Job", j.ID}, {"Set", j.Set.Description}, {"Maker", j.Set.Maker}, {"Model", j.Set.Model}, {"Serial number", j.Set.Serial},
		{"Mode", strings.ToUpper(j.Set.Mode)}, {"Customer", say.Joined(", ", j.Customer, j.Contact)},
		{"Shop", strings.Join(say.CleanLines(j.Shop.Heading), ", ")}, {"Technician", technician(j)}, {"Authorised by", authorised(j)},
		{"Fault reported", reported(j)},
		{"Work done", strings.Join(j.Work, "; ")}, {"Parts", partsText(j.Parts)}, {"Outcome", j.Outcome}, {"Reason", j.Reason}, {"Received", j.Received},
	}
	for _, round := range r.Rounds {
		facts = append(facts, [2]string{"Tested " + say.LowerFirst(say.Round(round.Name)), roundOf(j, round.Name).Tested})
	}
	facts = append(facts, [2]string{"Report issued", issue.Date})
	if issue.Replaces > 0 {
		facts = append(facts, [2]string{"Amendment", fmt.Sprintf("revision %d replaces revision %d of %s: %s", issue.Revision, issue.Replaces, issue.ReplacesDate, issue.Why)})
	}
	return factTable(append(facts, [2]string{"Note", j.Simulated}))
}

func authorised(j *job.Job) string {
	if j.Authorised != "" {
		return j.Authorised
	}
	return j.Shop.Authorised
}

// reported is all that the customer reported, with what was done about it.
func reported(j *job.Job) string {
	var all []string
	for _, c := range j.Reported() {
		all = append(all, say.Joined(": ", c.Reported, c.Work))
	}
	return strings.Join(all, "; ")
}

// conditionsTable is what held for all tests of a round; rows that no round
// states are left out.
func conditionsTable(r reports.Job, j *job.Job) doc.Table {
	number := func(v float64, unitName string) string {
		if v == 0 {
			return ""
		}
		return say.Significant(v, 7) + " " + unitName
	}
	pointer := func(v *float64, unitName string) string {
		if v == nil {
			return ""
		}
		return say.Significant(*v, 7) + " " + unitName
	}
	rows := []struct {
		label string
		of    func(job.RoundConditions) string
	}{
		{"frequency", func(c job.RoundConditions) string { return pointer(c.RFMHz, "MHz") }},
		{"channel", func(c job.RoundConditions) string { return c.Channel }},
		{"supply", func(c job.RoundConditions) string { return pointer(c.SupplyVolts, "V") }},
		{"temperature", func(c job.RoundConditions) string { return pointer(c.TemperatureC, "\u00b0C") }},
		{"µV are stated as", func(c job.RoundConditions) string { return levelKindText(c.LevelKind) }},
		{"pad and cable, RF", func(c job.RoundConditions) string { return number(c.RFPadDB, "dB") }},
		{"their uncertainty", func(c job.RoundConditions) string { return number(c.RFPadUncertaintyDB, "dB") }},
		{"pad, audio", func(c job.RoundConditions) string { return number(c.AudioPadDB, "dB") }},
		{"load", func(c job.RoundConditions) string {
			return strings.TrimSpace(c.Load + " " + number(c.LoadOhms, "\u2126"))
		}},
		{"S9 means", func(c job.RoundConditions) string { return unit.MicroSignInText(c.S9) }},
		{"mains", func(c job.RoundConditions) string { return number(c.MainsHz, "Hz") }},
		{"controls", func(c job.RoundConditions) string { return c.Controls }},
	}
	t := doc.Table{Columns: roundColumns(r, "condition")}
	for _, row := range rows {
		cells, known := []string{row.label}, false
		for _, round := range r.Rounds {
			text := row.of(roundOf(j, round.Name).Conditions)
			known = known || text != ""
			if text == "" {
				text = "not stated"
			}
			cells = append(cells, text)
		}
		if known {
			t.Rows = append(t.Rows, cells)
		}
	}
	return withCards(t, r)
}

// withCards adds the sound card that each round was recorded with, where one is known.
func withCards(t doc.Table, r reports.Job) doc.Table {
	cells, known := []string{"sound card"}, false
	for _, round := range r.Rounds {
		text := "not stated"
		if round.Card != nil {
			text, known = round.Card.Label(), true
		}
		cells = append(cells, text)
	}
	if known {
		t.Rows = append(t.Rows, cells)
	}
	return t
}

func levelKindText(k unit.LevelKind) string {
	if k == unit.EMF {
		return "EMF (open circuit)"
	}
	return "PD (across 50 \u2126)"
}

// byHand is what the technician read, checked, and left out.
func byHand(r reports.Job) []doc.Block {
	var blocks []doc.Block
	for _, round := range r.Rounds {
		name := say.LowerFirst(say.Round(round.Name))
		meters := doc.Table{Caption: "Read by eye: the value alone decides.",
			Columns: []doc.Column{{Head: "reading"}, {Head: "value"}, {Head: "limit"}, {Head: "verdict"}, {Head: "note"}}}
		for _, m := range round.ByEye {
			meters.Rows = append(meters.Rows, meterRow(m))
		}
		checks := doc.Table{Columns: []doc.Column{{Head: "check"}, {Head: "answer"}, {Head: "note"}}}
		for _, c := range round.Checks {
			checks.Rows = append(checks.Rows, []string{c.What, checkAnswer(c), c.Note})
		}
		left := doc.Table{Columns: []doc.Column{{Head: "not measured"}, {Head: "why"}}}
		for _, n := range round.NotMeasured {
			left.Rows = append(left.Rows, []string{n.What, n.Why})
		}
		for _, b := range []struct {
			title string
			table doc.Table
		}{{"Meter readings", meters}, {"Checks", checks}, {"Not measured", left}} {
			if len(b.table.Rows) > 0 {
				blocks = append(blocks, doc.Heading{Text: b.title + ", " + name, Level: 1}, b.table)
			}
		}
	}
	return blocks
}

func meterRow(m reports.MeterReading) []string {
	bound, word := m.Limit, "no limit given"
	if m.Nominal != "" {
		bound = m.Nominal + " within " + m.Within
	}
	if m.Verdict != nil {
		word = say.Joined(": ", say.Verdicts[m.Verdict.Outcome].Word, m.Verdict.Why)
	}
	return []string{m.What, unit.MicroSignInText(m.Value), unit.MicroSignInText(orDash(bound)), word, m.Note}
}

func equipmentTable(j *job.Job) doc.Table {
	t := doc.Table{Columns: []doc.Column{{Head: "instrument"}, {Head: "serial number"}, {Head: "calibrated"}, {Head: "certificate"},
		{Head: "stated uncertainty"}, {Head: "note"}}}
	for _, e := range j.AllEquipment() {
		var stated, notes []string
		if e.LevelUncertaintyDB != nil {
			stated = append(stated, "level \u00b1"+say.DB(*e.LevelUncertaintyDB))
		}
		if e.DeviationPercent != nil {
			stated = append(stated, "deviation \u00b1"+say.Significant(*e.DeviationPercent, 4)+" %")
		}
		if e.VoltsPercent != nil {
			stated = append(stated, "volts \u00b1"+say.Significant(*e.VoltsPercent, 4)+" %")
		}
		if e.ReadingDB != nil {
			stated = append(stated, "readings \u00b1"+say.DB(*e.ReadingDB))
		}
		if e.ReflectionFactor != nil {
			notes = append(notes, "reflection factor "+say.Significant(*e.ReflectionFactor, 4))
		}
		if e.FullScaleVolts != nil {
			notes = append(notes, "full scale "+say.Significant(*e.FullScaleVolts, 5)+" V")
		}
		if e.InputGain != "" {
			notes = append(notes, "input gain "+e.InputGain)
		}
		if e.Note != "" {
			notes = append(notes, e.Note)
		}
		t.Rows = append(t.Rows, []string{e.What, orNotStated(e.Serial), orNotStated(e.Calibrated), orNotStated(e.Certificate),
			orNotStated(strings.Join(stated, ", ")), strings.Join(notes, "; ")})
	}
	return t
}

func orNotStated(s string) string {
	if s == "" {
		return "not stated"
	}
	return s
}

// recordings are the files that were used, with the sums that prove which they were; a file
// each, whatever it was used for. Both rounds stand side by side; where all files have one
// format, it stands above.
func recordings(r reports.Job, parts []part, hashes bool) []doc.Block {
	t := doc.Table{}
	var formats []string
	most, sides := 0, [][]take{}
	for _, round := range r.Rounds {
		files := filesOf(round, parts)
		for i := range files {
			if !slices.Contains(formats, files[i].format) {
				formats = append(formats, files[i].format)
			}
			if !hashes && len(files[i].sha256) > shortSum {
				files[i].sha256 = files[i].sha256[:shortSum]
			}
		}
		if len(files) == 0 {
			continue
		}
		t.Columns = append(t.Columns, doc.Column{Head: "file, " + say.LowerFirst(say.Round(round.Name))}, doc.Column{Head: "used for"},
			doc.Column{Head: "SHA-256", Fine: true})
		if hashes { // side by side there is no room for them
			sides, most = append(sides, files), most+len(files)
			continue
		}
		sides, most = append(sides, files), max(most, len(files))
	}
	if most == 0 {
		return nil
	}
	if hashes {
		t.Columns = []doc.Column{{Head: "file"}, {Head: "used for"}, {Head: "SHA-256", Fine: true}}
		sides = [][]take{slices.Concat(sides...)}
	}
	for i := range most {
		var row []string
		for _, files := range sides {
			cells := make([]string, 3)
			if i < len(files) {
				f := files[i]
				if len(formats) > 1 {
					f.level = say.Joined("; ", f.level, f.format)
				}
				cells = []string{f.file, f.level, f.sha256}
			}
			row = append(row, cells...)
		}
		t.Rows = append(t.Rows, row)
	}
	if len(formats) == 1 {
		t.Caption = "All files: " + formats[0] + "."
	}
	return []doc.Block{doc.Heading{Text: "Recordings", Level: 0}, t}
}

// filesOf are the files of a round, each once.
func filesOf(round reports.Round, parts []part) (files []take) {
	at, seen := map[[2]string]int{}, map[take]bool{}
	for _, p := range parts {
		for _, k := range p.takes[round.Name] {
			if seen[k] {
				continue
			}
			seen[k] = true
			i, has := at[[2]string{k.file, k.sha256}]
			if !has {
				at[[2]string{k.file, k.sha256}] = len(files)
				k.level = say.Joined(" ", k.test, k.level)
				files = append(files, k)
				continue
			}
			files[i].also(k)
		}
	}
	return files
}

// shortSum is how many digits of a file's sum stand in the annex; report.json has all.
const shortSum = 12

// also adds what else a file was used for; a test is named once.
func (f *take) also(k take) {
	text, sep := k.level, ", "
	if k.test != f.test {
		text, sep = say.Joined(" ", k.test, k.level), "; "
	}
	f.level, f.test = say.Joined(sep, f.level, text), k.test
}

// cautions go with every report: the next person at the bench reads it.
var cautions = []string{
	"These cautions advise; local codes, the set's own manual and licensed practice come first.",
	"Work a transmitter into a dummy load that carries its power, never into a signal generator.",
	"Never ground either wire of a bridged audio output: use an isolating transformer.",
	"Never connect a speaker output straight to a microphone input.",
	"Mains voltages and valve sets are for qualified people.",
	"On-air tests only under the licence and the local rules.",
}

func statements(j *job.Job) []string {
	all := []string{"This report relates only to the item tested, in the state in which it was tested."}
	return append(all,
		"Intervals hold the true value with a probability of 95 %.",
		"It holds what ISO/IEC 17025:2017, 7.8.2.1 lists, as far as the job states it. No accreditation is claimed.",
		"No deviation from the methods is stated beyond the conditions and remarks above.")
}
