package kind

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/point"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
)

const (
	degradedFrom = 12.0 // dB of SINAD that the sensitivity gives
	degradedTo   = 6.0  // dB of SINAD
	wantedMost   = 22.0 // dB of SINAD that 3 dB above the sensitivity can give: an FM set's SINAD rises by 3 dB a dB at most (common practice, no source)
	wantedOver   = 3.0  // dB by which the wanted signal stands above the sensitivity
)

// Degradation is a series over the level of an interfering signal while the wanted
// one stands 3 dB above the 12 dB SINAD sensitivity. Where SINAD has fallen to 6
// dB, the level of the interferer less that of the sensitivity (wanted less 3 dB)
// is the rejection of the adjacent channel, of blocking or of intermodulation
// (degradation method of land-mobile standards; 3 dB up and 6 dB SINAD from memory).
// Its interval joins the scatter of the readings with the level uncertainty of both
// generators, where it is stated.
func Degradation(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	rows, why, err := takes.Gather(t, rs, steppedIn(t))
	if err != nil {
		return analyze.Result{}, err
	}
	out := analyze.Result{Setup: t, Rows: rows, Why: why}
	if out.Why == "" && t.LevelTyped == "" {
		out.Why = "the level of the wanted signal is not stated: write it as level"
	}
	if out.Why != "" {
		return out, nil
	}
	line := analyze.Line{Picture: "SINAD against the interfering level", Name: "SINAD", Role: analyze.RoleCurve, X: analyze.Quantity{Name: "interfering level", Unit: "dBm"}, Y: analyze.Quantity{Name: "SINAD", Unit: "dB"}}
	var ps []point.Spot
	for i, u := range rows {
		s := u.Measured.Get(analyze.SINAD)
		rows[i].Worth = []analyze.Reading{s, u.Measured.Get(analyze.ToneLevel)}
		l := u.Take.Level
		if l.Scale != t.Level.Scale || l.Scale == unit.Off {
			out.Why = "give the wanted and the interfering levels alike: all in µV or dBm, or all in dB"
			return out, nil
		}
		ps = append(ps, point.Spot{X: l.DB, Y: s})
		if s.OK() {
			line.Points = append(line.Points, dotAt(l.DB, s))
		}
	}
	sortDots(line.Points)
	if len(line.Points) > 1 {
		out.Lines = []analyze.Line{line}
	}
	at := point.FallsTo(job.FigureRejection, "dB", ps, degradedTo)
	if !at.OK() {
		at.Why = "SINAD does not come down to 6 dB between two readings: record interfering levels on both sides (" + at.Why + ")"
	} else {
		reference := t.Level.DB - wantedOver
		at.Value, at.Low, at.High = at.Value-reference, at.Low-reference, at.High-reference
		if t.Path.LevelUncertainty != nil { // two generators, rectangular
			at = at.Sharing(math.Sqrt2 * *t.Path.LevelUncertainty / math.Sqrt(3))
		}
	}
	out.Figures = []analyze.Reading{at}
	if best, ok := bestOf(ps); ok && analyze.Over(best.Y, wantedMost) {
		out.Warnings = append(out.Warnings, capture.Warning{Code: capture.WantedTooStrong, Says: note.Of("wanted-too-strong", note.DB(best.Y.Value))})
	} else if ok && analyze.Under(best.Y, degradedFrom) {
		out.Says = append(out.Says, note.Phrase("SINAD stays below 12 dB even at the weakest interfering level: record a weaker one, to see that the wanted signal stands above the sensitivity."))
	}
	out.Says = append(out.Says, note.Phrase("The wanted signal is taken to stand 3 dB above the 12 dB SINAD sensitivity, as the method asks; pads of both generators must be the same, or in the levels."))
	if at.OK() && (t.Path.LevelUncertainty == nil || t.Assumed[job.InputLevel]) && t.Level.Scale == unit.Absolute {
		out.Says = append(out.Says, note.Phrase("The level uncertainty of the generators is not stated, so what is usual is assumed: state level_uncertainty_db under equipment."))
	}
	return out, nil
}
