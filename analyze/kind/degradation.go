package kind

import (
	"math"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/point"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
)

// end is where a degradation ends, and what it is counted from.
type end struct {
	name   string
	sinad  float64 // dB through the test's filter
	over   float64 // dB by which the wanted signal stands above what the rejection is counted from
	alone  float64 // dB of SINAD that the sensitivity gives without the second signal
	most   float64 // dB of SINAD that the wanted signal gives at most: an FM set's SINAD rises by 3 dB a dB (common practice, no source)
	stays  string  // alone, in words
	wanted string  // where it stands, for people
}

const aboveSensitivity = "3 dB above the 12 dB SINAD sensitivity"

var ends = []end{
	{job.EndSINAD, 12, 3, 12, 22, "12 dB", aboveSensitivity},
	{job.EndPsophometric, 14, 0, 20, 23, "20 dB", "at the limit of the maximum usable sensitivity, 20 dB SINAD psophometric"},
	{job.EndDown, 6, 3, 12, 22, "12 dB", aboveSensitivity},
}

// endOf is the end that a test names, else that of TIA-603.
func endOf(t job.Setup) end {
	for _, e := range ends {
		if strings.EqualFold(t.Setting(job.SettingEnd), e.name) {
			return e
		}
	}
	return ends[0]
}

// Degradation is a series over the level of an interfering signal beside a wanted one.
// Where SINAD has fallen to that of the end, the level of the interferer less that which
// the wanted one is counted from is the rejection of the adjacent channel, of blocking or
// of intermodulation:
//
//	12 dB SINAD         wanted 3 dB above the sensitivity, counted from the sensitivity (TIA-603, from memory)
//	14 dB psophometric  wanted at the limit of the maximum usable sensitivity, counted from it (EN 300 086, from memory)
//	6 dB down           as the first, to 6 dB SINAD (common practice, no source)
//
// Its interval joins the scatter of the readings with the level uncertainty of both
// generators.
func Degradation(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	to := endOf(t)
	if f := t.Reading.Filter.Name; to.name == job.EndPsophometric && (f == "" || f == job.SpeechBand) {
		t.Reading.Filter = job.Filter{Name: job.Psophometric}
	}
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
	at := point.FallsTo(job.FigureRejection, "dB", ps, to.sinad)
	if !at.OK() {
		at.Why = analyze.Because("SINAD does not come down to %g dB between two readings: record interfering levels on both sides (%s)", to.sinad, at.Why)
	} else {
		reference := t.Level.DB - to.over
		at.Value, at.Low, at.High = at.Value-reference, at.Low-reference, at.High-reference
		if t.Path.LevelUncertainty != nil { // two generators, rectangular
			at = at.Sharing(math.Sqrt2 * *t.Path.LevelUncertainty / math.Sqrt(3))
		}
	}
	out.Figures = []analyze.Reading{at}
	if best, ok := bestOf(ps); ok && analyze.Over(best.Y, to.most) {
		out.Warnings = append(out.Warnings, capture.Warning{Code: capture.WantedTooStrong, Says: note.Of("wanted-too-strong", note.DB(best.Y.Value), to.wanted)})
	} else if ok && analyze.Under(best.Y, to.alone) {
		out.Says = append(out.Says, note.Run("SINAD stays below ", to.stays, " even at the weakest interfering level: record a weaker one, to see that the wanted signal stands ", to.wanted, "."))
	}
	out.Says = append(out.Says, note.Run("It ends at ", to.name, "; the wanted signal is taken to stand ", to.wanted, ", as the method asks; pads of both generators must be the same, or in the levels."))
	if at.OK() && (t.Path.LevelUncertainty == nil || t.Assumed[job.InputLevel]) && t.Level.Scale == unit.Absolute {
		out.Says = append(out.Says, note.Phrase("The level uncertainty of the generators is not stated, so what is usual is assumed: state level_uncertainty_db under equipment."))
	}
	return out, nil
}
