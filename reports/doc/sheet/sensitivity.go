package sheet

import (
	"fmt"
	"math"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/sentence"
)

// ofPoint is the document of a test that is after a point: series, curve, notes
// and the one-line answer.
func ofPoint(r reports.Test) doc.Document {
	t := r.Result.Setup
	d := doc.Document{}
	s := Series(r)
	d.Blocks = append(d.Blocks, doc.Heading{Text: "Sensitivity, " + t.Criterion.Label(), Note: conditions(t)}, s.Table)
	if len(s.Notes) > 0 {
		d.Blocks = append(d.Blocks, doc.Notes{Items: s.Notes})
	}
	if c := SeriesCurve(r); len(c.Traces[0].Points) > 1 {
		d.Blocks = append(d.Blocks, c)
	}
	if notes := PointNotes(r); len(notes) > 0 {
		d.Blocks = append(d.Blocks, doc.Notes{Items: notes})
	}
	d.Blocks = append(d.Blocks, PointAnswer(r))
	return d
}

// conditions says how the levels and figures were had.
func conditions(t job.Setup) string {
	parts := []string{"filter " + say.Filter(t.Reading.Filter)}
	if t.Criterion.Quantity == job.QuantitySINAD {
		parts = append(parts, "tone "+say.Significant(t.Reading.Tone(), 5)+" Hz")
	}
	if t.Path.PadDB != 0 {
		parts = append(parts, "levels at the set, after a pad of "+say.Significant(t.Path.PadDB, 4)+" dB")
	}
	return strings.Join(parts, "; ")
}

type series struct {
	Table doc.Table
	Notes []doc.Note
}

// Series makes the table, weakest level last: the way a generator is stepped.
func Series(r reports.Test) series {
	t, rows := r.Result.Setup, r.Result.Series()
	var s series
	relative := r.Result.Point.Level.Scale == unit.Relative
	if relative {
		s.Table.Columns = []doc.Column{{Head: "level", Unit: "dB", Align: doc.Decimal}}
	} else {
		s.Table.Columns = []doc.Column{{Head: "level", Unit: "\u00b5V " + say.LevelKind(t.LevelKind),
			Align: doc.Decimal}, {Unit: "dBm", Align: doc.Decimal}}
	}
	worth := worthColumn(t.Criterion)
	s.Table.Columns = append(s.Table.Columns, doc.Column{Head: worth, Unit: "dB", Align: doc.Decimal},
		doc.Column{Head: "95 %", Unit: "", Align: doc.Left},
		doc.Column{Head: "audio", Unit: "dB", Align: doc.Decimal},
		doc.Column{Head: "noise", Unit: "dBFS", Align: doc.Decimal}, doc.Column{Head: "", Unit: "", Align: doc.Left})
	unstated := r.Result.Point.Status == analyze.ChannelUnstated
	if unstated {
		s.Table.Columns = append([]doc.Column{{Head: "channel", Align: doc.Left}}, s.Table.Columns...)
	}
	strongest, has := strongestAudio(rows)
	add := func(row analyze.Used) {
		cells := LevelCells(row.Level, t.LevelKind, relative)
		cells = append(cells, worthCells(row, r.Result.WorthOf(row))...)
		cells = append(cells, audioCell(row, strongest, has), plainCell(row.Measured.Get(analyze.NoiseLevel)))
		if unstated {
			cells = append([]string{fmt.Sprint(row.Measured.Origin.Channel)}, cells...)
		}
		s.Table.Rows = append(s.Table.Rows, append(cells, s.mark(row)))
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

// LevelCells are a level in volts of the kind and in dBm, or in dB alone where levels are relative.
func LevelCells(l unit.Level, kind unit.LevelKind, relative bool) []string {
	switch {
	case relative && l.Scale == unit.Off:
		return []string{"off"}
	case relative:
		return []string{say.Fixed(l.DB, 1)}
	case l.Scale == unit.Off:
		return []string{"off", ""}
	}
	return []string{say.Significant(say.Microvolt(l.DB, kind), 3), say.Fixed(l.DB, 1)}
}

func worthCells(row analyze.Used, r analyze.Reading) []string {
	if row.Level.Scale == unit.Off && !r.OK() {
		return []string{"-", ""}
	}
	if !r.OK() {
		return []string{"-", say.Why(r.Why)}
	}
	n := say.Reading(r)
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
		return say.Between(r.Value, r.Low, r.High, 1).Value
	}
	return say.Fixed(r.Value, 1)
}

// mark points from a row to the notes on its recording.
func (s *series) mark(row analyze.Used) string {
	var marks []string
	for _, n := range remarks(row.Measured) {
		text := row.Measured.Origin.File + ": " + n.Text
		n.Mark, n.Text = fmt.Sprint(len(s.Notes)+1), text
		s.Notes = append(s.Notes, n)
		marks = append(marks, n.Mark)
	}
	if len(marks) == 0 {
		return ""
	}
	return "note " + strings.Join(marks, ", ")
}

// SeriesCurve is the series over the level.
func SeriesCurve(r reports.Test) doc.Curve {
	t := r.Result.Setup
	c := doc.Curve{
		X:         doc.Axis{Name: "level", Unit: "dBm"},
		Y:         doc.Axis{Name: worthColumn(t.Criterion), Unit: "dB"},
		Threshold: &doc.Line{At: t.Criterion.Value, Label: t.Criterion.Label()},
		Says:      Finding([]Round{{Test: r}}),
	}
	if r.Result.Point.Level.Scale == unit.Relative {
		c.X.Unit = "dB"
	}
	c.Traces = []doc.Trace{Trace(r)}
	if v := r.Verdict(); v != nil && v.Limit.Unit == "dBm" && c.X.Unit == "dBm" {
		c.Limit = &doc.Line{At: v.Limit.Value, Label: "limit"}
	}
	CloseUp(&c)
	return c
}

// Trace is the whole series and its point.
func Trace(r reports.Test) doc.Trace {
	p := *r.Result.Point
	trace := doc.Trace{Points: Dots(r.Result.Series(), r.Result.WorthOf)}
	if p.Status == analyze.Found {
		low, high := p.Low, p.High
		if p.NoInterval != "" || p.OneSided != "" {
			low, high = p.Level.DB, p.Level.DB
		}
		trace.Crossing = &doc.Dot{X: p.Level.DB, Y: r.Result.Setup.Criterion.Value, Low: low, High: high}
	}
	return trace
}

// Dots are one reading of each level that has a signal.
func Dots(rows []analyze.Used, of func(analyze.Used) analyze.Reading) []doc.Dot {
	var all []doc.Dot
	for _, row := range rows {
		r := of(row)
		if !r.OK() || row.Level.Scale == unit.Off {
			continue
		}
		d := doc.Dot{X: row.Level.DB, Y: r.Value, Low: r.Value, High: r.Value}
		if r.HasInterval() {
			d.Low, d.High = r.Low, r.High
		}
		all = append(all, d)
	}
	return all
}

// CloseUp leaves out what lies far above the crossings, where the curve is flat
// and would only make the part that matters small.
func CloseUp(c *doc.Curve) {
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
	near, far := make([]doc.Trace, len(c.Traces)), 0
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
		c.Note = fmt.Sprintf("%d stronger %s not drawn", far, say.Plural(far, "level", "levels"))
	}
}

// PointNotes say what the interval is made of, and what it leaves out.
func PointNotes(r reports.Test) []doc.Note {
	p := *r.Result.Point
	var notes []doc.Note
	for _, w := range r.Result.Warnings {
		notes = append(notes, doc.Note{Warning: true, Text: sentence.Of(w.Says)})
	}
	if p.Status != analyze.Found {
		return notes
	}
	var parts []string
	for _, s := range p.Shares {
		if s.DB == 0 {
			continue
		}
		name, ok := say.Shares[s.Name]
		if !ok {
			name = s.Name
		}
		parts = append(parts, name+" "+say.Significant(s.DB, 2)+" dB")
	}
	if len(parts) > 0 && p.NoInterval == "" {
		notes = append(notes, doc.Note{Text: "the interval comes from " + strings.Join(parts, ", ") +
			" (standard uncertainties; 95 % is 1.96 times their root-sum-square)"})
	}
	for _, s := range p.ReadsHigh {
		notes = append(notes, doc.Note{Text: "the " + say.Shares[s.Name] + " makes it read up to " +
			say.Significant(s.DB, 2) + " dB too high and never too low: its lower end reaches as far down"})
	}
	for _, n := range p.NotStated {
		notes = append(notes, doc.Note{Text: notStated(n)})
	}
	return notes
}

func notStated(name string) string {
	switch name {
	case "generator":
		return "the generator's level uncertainty is not stated, so ±2 dB is assumed: give --level-uncertainty-db, or in a job level_uncertainty_db of the generator under equipment"
	case "pad":
		return "the pad's uncertainty is not stated, so ±0.5 dB is assumed: give --rf-pad-uncertainty-db"
	}
	return name + " is not stated, so what is usual is assumed"
}

// PointAnswer is the one line that everything in it serves.
func PointAnswer(r reports.Test) doc.Answer {
	t, p := r.Result.Setup, *r.Result.Point
	a := doc.Answer{}
	label := t.Criterion.Label()
	switch p.Status {
	case analyze.Found:
		a.Parts = append(a.Parts, label+" at "+say.Point(p, t.LevelKind))
		a.Reason = p.NoInterval
	case analyze.BelowRange:
		a.Parts = append(a.Parts, label+" below the weakest level"+beyond(p.Level, t.LevelKind))
	case analyze.AboveRange:
		a.Parts = append(a.Parts, label+" above the strongest level"+beyond(p.Level, t.LevelKind))
	default:
		a.Parts = append(a.Parts, label+" not found")
	}
	if p.Status != analyze.Found {
		a.Outcome, a.Reason = doc.Unclear, p.Why
	}
	if p.Level.Scale == unit.Relative && p.Status == analyze.Found && a.Reason == "" {
		a.Reason = "the levels are relative: there is nothing to hold against a limit"
	}
	if v := r.Verdict(); v != nil {
		judge(&a, *v, t.LevelKind)
		a.Verdict = say.PointVerdict(*v, *r.Result)
	}
	return a
}

// beyond names the level at the end of the series that the point lies beyond.
func beyond(l unit.Level, kind unit.LevelKind) string {
	if l.Scale == unit.Absolute {
		return fmt.Sprintf(", %s (%s dBm)", say.Level(l, kind), say.Fixed(l.DB, 1))
	}
	return ", " + say.Level(l, kind)
}

func judge(a *doc.Answer, v limit.Verdict, kind unit.LevelKind) {
	a.Parts = append(a.Parts, "limit "+say.Limit(v.Limit, kind))
	w := say.Verdicts[v.Outcome]
	a.Verdict, a.Outcome = w.Word, w.Outcome
	if v.Why != "" {
		a.Reason = v.Why
	}
	if v.Note != "" {
		a.Reason = say.Joined("; ", a.Reason, v.Note)
	}
	a.Reason = say.Joined("; ", a.Reason, say.Assumed(v))
}
