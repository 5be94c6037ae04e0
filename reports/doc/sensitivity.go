package doc

import (
	"fmt"
	"math"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
)

// pointDocument is the document of a test that is after a point: series, curve, notes
// and the one-line answer.
func pointDocument(r reports.Test) Document {
	t := r.Result.Setup
	d := Document{}
	s := seriesOf(r)
	d.Blocks = append(d.Blocks, Heading{Text: "Sensitivity, " + t.Criterion.Label(), Note: conditions(t)}, s.table)
	if len(s.notes) > 0 {
		d.Blocks = append(d.Blocks, Notes{s.notes})
	}
	if c := sensitivityCurve(r); len(c.Traces[0].Points) > 1 {
		d.Blocks = append(d.Blocks, c)
	}
	if notes := pointNotes(r); len(notes) > 0 {
		d.Blocks = append(d.Blocks, Notes{notes})
	}
	d.Blocks = append(d.Blocks, pointAnswer(r))
	return d
}

// conditions says how the levels and figures were had.
func conditions(t job.Setup) string {
	parts := []string{"filter " + filterName(t.Reading.Filter)}
	if t.Criterion.Quantity == job.QuantitySINAD {
		parts = append(parts, "tone "+Significant(t.Reading.Tone(), 5)+" Hz")
	}
	if t.Path.PadDB != 0 {
		parts = append(parts, "levels at the set, after a pad of "+Significant(t.Path.PadDB, 4)+" dB")
	}
	return strings.Join(parts, "; ")
}

type series struct {
	table Table
	notes []Note
}

// seriesOf makes the table, weakest level last: the way a generator is stepped.
func seriesOf(r reports.Test) series {
	t, rows := r.Result.Setup, r.Result.Series()
	var s series
	relative := r.Result.Point.Level.Scale == unit.Relative
	if relative {
		s.table.Columns = []Column{{Head: "level", Unit: "dB", Align: Decimal}}
	} else {
		s.table.Columns = []Column{{Head: "level", Unit: "\u00b5V " + kindWord(t.LevelKind), Align: Decimal}, {Unit: "dBm", Align: Decimal}}
	}
	worth := worthColumn(t.Criterion)
	s.table.Columns = append(s.table.Columns, Column{Head: worth, Unit: "dB", Align: Decimal}, Column{Head: "95 %", Unit: "", Align: Left},
		Column{Head: "audio", Unit: "dB", Align: Decimal}, Column{Head: "noise", Unit: "dBFS", Align: Decimal}, Column{Head: "", Unit: "", Align: Left})
	unstated := r.Result.Point.Status == analyze.ChannelUnstated
	if unstated {
		s.table.Columns = append([]Column{{Head: "channel", Align: Left}}, s.table.Columns...)
	}
	strongest, has := strongestAudio(rows)
	add := func(row analyze.Used) {
		cells := levelCells(row.Level, t.LevelKind, relative)
		cells = append(cells, worthCells(row, r.Result.WorthOf(row))...)
		cells = append(cells, audioCell(row, strongest, has), plainCell(row.Measured.Get(analyze.NoiseLevel)))
		if unstated {
			cells = append([]string{fmt.Sprint(row.Measured.Origin.Channel)}, cells...)
		}
		s.table.Rows = append(s.table.Rows, append(cells, s.mark(row)))
	}
	for i := len(rows) - 1; i >= 0; i-- {
		add(rows[i])
	}
	return s
}

func worthColumn(c job.Criterion) string {
	switch c.Quantity {
	case job.QuantityQuieting:
		return "quieting"
	case job.QuantitySNN:
		return "(S+N)/N"
	}
	return "SINAD"
}

func levelCells(l unit.Level, kind unit.LevelKind, relative bool) []string {
	switch {
	case relative && l.Scale == unit.Off:
		return []string{"off"}
	case relative:
		return []string{fixed(l.DB, 1)}
	case l.Scale == unit.Off:
		return []string{"off", ""}
	}
	return []string{Significant(microvolt(l.DB, kind), 3), fixed(l.DB, 1)}
}

func worthCells(row analyze.Used, r analyze.Reading) []string {
	if row.Level.Scale == unit.Off && !r.OK() {
		return []string{"-", ""}
	}
	if !r.OK() {
		return []string{"-", why(r.Why)}
	}
	n := OfReading(r)
	return []string{n.Value, n.Spread()}
}

// strongestAudio is the recovered audio of the strongest row that has a tone.
func strongestAudio(rows []analyze.Used) (dbfs float64, ok bool) {
	for i := len(rows) - 1; i >= 0; i-- {
		if r := rows[i].Measured.Get(analyze.ToneLevel); r.OK() {
			return r.Value, true
		}
	}
	return 0, false
}

func audioCell(row analyze.Used, strongest float64, has bool) string {
	r := row.Measured.Get(analyze.ToneLevel)
	if !r.OK() || !has {
		return "-"
	}
	r.Value, r.Low, r.High = r.Value-strongest, r.Low-strongest, r.High-strongest
	return plainCell(r)
}

// plainCell is a figure without its interval, which still decides its digits; to
// a tenth at most, which is all that a column without intervals should claim.
func plainCell(r analyze.Reading) string {
	if !r.OK() {
		return "-"
	}
	if r.HasInterval() {
		return Between(r.Value, r.Low, r.High, 1).Value
	}
	return fixed(r.Value, 1)
}

// mark points from a row to the notes on its recording.
func (s *series) mark(row analyze.Used) string {
	var marks []string
	for _, n := range remarks(row.Measured) {
		text := row.Measured.Origin.File + ": " + n.Text
		n.Mark, n.Text = fmt.Sprint(len(s.notes)+1), text
		s.notes = append(s.notes, n)
		marks = append(marks, n.Mark)
	}
	if len(marks) == 0 {
		return ""
	}
	return "note " + strings.Join(marks, ", ")
}

// sensitivityCurve is the series over the level.
func sensitivityCurve(r reports.Test) Curve {
	t := r.Result.Setup
	c := Curve{
		X:         Axis{"level", "dBm"},
		Y:         Axis{worthColumn(t.Criterion), "dB"},
		Threshold: &Line{At: t.Criterion.Value, Label: t.Criterion.Label()},
	}
	if r.Result.Point.Level.Scale == unit.Relative {
		c.X.Unit = "dB"
	}
	c.Traces = []Trace{sensitivityTrace(r)}
	if v := r.Verdict(); v != nil && v.Limit.Unit == "dBm" && c.X.Unit == "dBm" {
		c.Limit = &Line{At: v.Limit.Value, Label: "limit"}
	}
	closeUp(&c)
	return c
}

// sensitivityTrace is the whole series and its point.
func sensitivityTrace(r reports.Test) Trace {
	p := *r.Result.Point
	trace := Trace{Points: dots(r.Result.Series(), r.Result.WorthOf)}
	if p.Status == analyze.Found {
		low, high := p.Low, p.High
		if p.NoInterval != "" || p.OneSided != "" {
			low, high = p.Level.DB, p.Level.DB
		}
		trace.Crossing = &Dot{X: p.Level.DB, Y: r.Result.Setup.Criterion.Value, Low: low, High: high}
	}
	return trace
}

// dots are one reading of each level that has a signal.
func dots(rows []analyze.Used, of func(analyze.Used) analyze.Reading) []Dot {
	var all []Dot
	for _, row := range rows {
		r := of(row)
		if !r.OK() || row.Level.Scale == unit.Off {
			continue
		}
		d := Dot{X: row.Level.DB, Y: r.Value, Low: r.Value, High: r.Value}
		if r.HasInterval() {
			d.Low, d.High = r.Low, r.High
		}
		all = append(all, d)
	}
	return all
}

// closeUp leaves out what lies far above the crossings, where the curve is flat
// and would only make the part that matters small.
func closeUp(c *Curve) {
	const above = 25 // dB
	last := math.Inf(-1)
	for _, t := range c.Traces {
		if t.Crossing != nil {
			last = math.Max(last, t.Crossing.X)
		}
	}
	if math.IsInf(last, -1) {
		return
	}
	near, far := make([]Trace, len(c.Traces)), 0
	for i, t := range c.Traces {
		near[i] = t
		near[i].Points = nil
		for _, d := range t.Points {
			if d.X <= last+above {
				near[i].Points = append(near[i].Points, d)
			}
		}
		if len(near[i].Points) <= 2 {
			return
		}
		far += len(t.Points) - len(near[i].Points)
	}
	if far > 0 {
		c.Traces = near
		c.Note = fmt.Sprintf("%d stronger %s not drawn", far, plural(far, "level", "levels"))
	}
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// shareNames are the contributions to a point's interval in words.
var shareNames = map[string]string{"readings": "scatter of the readings", "between_levels": "course between the levels (record closer ones)", "generator": "generator level", "pad": "pad", limit.ShareCardReading: "sound card, as typed", limit.ShareCardNoise: "sound card's noise"}

// pointNotes say what the interval is made of, and what it leaves out.
func pointNotes(r reports.Test) []Note {
	p := *r.Result.Point
	var notes []Note
	for _, w := range r.Result.Warnings {
		notes = append(notes, Note{Warning: true, Text: w.Text})
	}
	if p.Status != analyze.Found {
		return notes
	}
	var parts []string
	for _, s := range p.Shares {
		if s.DB == 0 {
			continue
		}
		name, ok := shareNames[s.Name]
		if !ok {
			name = s.Name
		}
		parts = append(parts, name+" "+Significant(s.DB, 2)+" dB")
	}
	if len(parts) > 0 && p.NoInterval == "" {
		notes = append(notes, Note{Text: "the interval comes from " + strings.Join(parts, ", ") + " (standard uncertainties; 95 % is 1.96 times their root-sum-square)"})
	}
	for _, s := range p.ReadsHigh {
		notes = append(notes, Note{Text: "the " + shareNames[s.Name] + " makes it read up to " + Significant(s.DB, 2) + " dB too high and never too low: its lower end reaches as far down"})
	}
	for _, n := range p.NotStated {
		notes = append(notes, Note{Text: notStated(n)})
	}
	return notes
}

func notStated(name string) string {
	switch name {
	case "generator":
		return "the generator's level uncertainty is not stated and counts as 0: give --level-uncertainty-db, or in a job level_uncertainty_db of the generator under equipment"
	case "pad":
		return "the pad's uncertainty is not stated and counts as 0: give --rf-pad-uncertainty-db"
	}
	return name + " is not stated and counts as 0"
}

// pointAnswer is the one line that everything in it serves.
func pointAnswer(r reports.Test) Answer {
	t, p := r.Result.Setup, *r.Result.Point
	a := Answer{}
	label := t.Criterion.Label()
	switch p.Status {
	case analyze.Found:
		a.Parts = append(a.Parts, label+" at "+pointText(p, t.LevelKind))
		a.Reason = p.NoInterval
	case analyze.BelowRange:
		a.Parts = append(a.Parts, label+" below the weakest level"+beyond(p.Level, t.LevelKind))
	case analyze.AboveRange:
		a.Parts = append(a.Parts, label+" above the strongest level"+beyond(p.Level, t.LevelKind))
	default:
		a.Parts = append(a.Parts, label+" not found")
	}
	if p.Status != analyze.Found {
		a.Outcome, a.Reason = Unclear, p.Why
	}
	if p.Level.Scale == unit.Relative && p.Status == analyze.Found && a.Reason == "" {
		a.Reason = "the levels are relative: there is nothing to hold against a limit"
	}
	if v := r.Verdict(); v != nil {
		judge(&a, *v, t.LevelKind)
		a.Verdict = pointWord(*v, *r.Result)
	}
	return a
}

// beyond names the level at the end of the series that the point lies beyond.
func beyond(l unit.Level, kind unit.LevelKind) string {
	if l.Scale == unit.Absolute {
		return fmt.Sprintf(", %s (%s dBm)", SetLevel(l, kind), fixed(l.DB, 1))
	}
	return ", " + SetLevel(l, kind)
}

func judge(a *Answer, v limit.Verdict, kind unit.LevelKind) {
	a.Parts = append(a.Parts, "limit "+limitText(v.Limit, kind))
	w := verdictWords[v.Outcome]
	a.Verdict, a.Outcome = w.Word, w.Outcome
	if v.Why != "" {
		a.Reason = v.Why
	}
	if v.Note != "" {
		a.Reason = joined("; ", a.Reason, v.Note)
	}
}
