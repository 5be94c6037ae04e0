package kind

import (
	"hisspoint/analyze"
	"hisspoint/analyze/takes"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// lines is the distortion over the output.
func (p powers) lines() []analyze.Line {
	l := analyze.Line{Picture: "distortion and output", Name: "distortion", Role: analyze.RoleCurve, Y: analyze.Quantity{Name: "distortion", Unit: "%"}}
	for _, u := range p.rows {
		out := p.shown("output", u.Measured.Get(analyze.Level))
		l.X, l.LogX = analyze.Quantity{Name: "output", Unit: out.Unit}, out.Unit != "dBFS"
		r := thdOf(u)
		d := analyze.Dot{X: out.Value, Y: r.Value, Low: r.Value, High: r.Value}
		if r.HasInterval() {
			d.Low, d.High = r.Low, r.High
		}
		l.Points = append(l.Points, d)
	}
	if len(l.Points) < 2 {
		return nil
	}
	first, last := l.Points[0].X, l.Points[len(l.Points)-1].X
	return []analyze.Line{l, {Picture: l.Picture, Name: "10 %", Role: analyze.RoleIdeal, X: l.X, Y: l.Y, LogX: l.LogX, Points: []analyze.Dot{{X: first, Y: ratedTHD, Low: ratedTHD, High: ratedTHD}, {X: last, Y: ratedTHD, Low: ratedTHD, High: ratedTHD}}}}
}

// An output stops following where it rises by less than this in dB while the
// distortion climbs by more than that in percentage points.
const (
	stopsBelow = 2
	climbsBy   = 5
)

func (p powers) says() []note.Note {
	var says []note.Note
	if n := len(p.rows); n > 1 && thdOf(p.rows[n-1]).Value < ratedTHD && atFull(p.rows[n-1]) {
		says = append(says, note.Of("ten-percent-not-reached", note.Percent(thdOf(p.rows[n-1]).Value)))
	}
	if in := p.t.Reading; in.FullScaleVolts > 0 && (in.VoltsPercent == 0 || p.t.Assumed[job.InputVolts]) {
		says = append(says, note.Phrase("the uncertainty of the calibration in volts is not stated, so what is usual is assumed: state volts_uncertainty_percent"))
	}
	for i := 1; i < len(p.rows); i++ {
		a, b := p.rows[i-1], p.rows[i]
		if rise := dBOf(b) - dBOf(a); rise < stopsBelow && thdOf(b).Value-thdOf(a).Value > climbsBy {
			says = append(says, note.Of("output-stops-following", orPlace(a), orPlace(b), note.DB(rise), note.Percent(thdOf(a).Value), note.Percent(thdOf(b).Value)))
			break
		}
	}
	return append(says, p.clips()...)
}

// orPlace is a row by its volume, else by its file.
func orPlace(u analyze.Used) string {
	if u.Take.AtTyped != "" {
		return "volume " + u.Take.AtTyped
	}
	return takes.Named(u)
}

// clearlyMore is by what factor odd harmonics exceed even ones where both
// halves of a wave are clipped alike.
const clearlyMore = 3

// clips says how the loudest volume is distorted, where it is much more so than others.
func (p powers) clips() []note.Note {
	if !p.onset().OK() {
		return nil
	}
	top := p.rows[len(p.rows)-1]
	if thdOf(top).Value-thdOf(p.rows[p.floor()]).Value <= climbsBy {
		return nil
	}
	even, odd := top.Measured.Kept.Even().Value, top.Measured.Kept.Odd().Value
	halves := "halves-clip-unequally"
	if odd > clearlyMore*even {
		halves = "halves-clip-alike"
	}
	return []note.Note{note.Of(halves, note.Percent(even), note.Percent(odd))}
}
