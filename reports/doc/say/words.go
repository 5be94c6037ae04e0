package say

import (
	"fmt"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports/doc"
)

// Channel is the file of a recording, with the channel where there are several.
func Channel(m analyze.Measured) string {
	if m.Origin.Channels > 1 {
		return fmt.Sprintf("%s (channel %d of %d)", m.Origin.File, m.Origin.Channel, m.Origin.Channels)
	}
	return m.Origin.File
}

// Shares are the contributions to a point's interval in words.
var Shares = map[string]string{"readings": "scatter of the readings",
	"between_levels": "gaps between levels (record closer ones)", "generator": "generator level", "pad": "pad",
	limit.ShareMismatch: "mismatch", limit.ShareDeviation: "deviation or depth", limit.ShareToneTHD: "generator's audio distortion", limit.ShareCardFlat: "sound card's response",
	limit.ShareCardReading: "sound card, as typed", limit.ShareCardNoise: "sound card's noise"}

// Shown is a reading as people know it.
type Shown struct{ Name, Label string }

// Readings are in the order in which a block shows them: what decides first.
var Readings = []Shown{
	{analyze.SINAD, job.LabelOf(analyze.SINAD)},
	{analyze.SNR, job.LabelOf(analyze.SNR)},
	{analyze.THD, job.LabelOf(analyze.THD)},
	{analyze.THDN, "distortion + noise (THD+N)"},
	{analyze.ToneLevel, "recovered audio (tone)"},
	{analyze.ToneFrequency, "tone frequency"},
	{analyze.ToneDrift, "tone drifts"},
	{analyze.NoiseLevel, "noise"},
	{analyze.HumLevel, "hum"},
	{analyze.BuzzLevel, "buzz (above 600 Hz)"},
	{analyze.HumFrequency, "mains frequency"},
	{analyze.Level, "level (RMS)"},
	{analyze.LevelVolts, "level (RMS)"},
	{analyze.Power, "power"},
	{analyze.Peak, "peak"},
	{analyze.DCOffset, "DC offset"},
}

// Why says in a few words why a reading has no value.
func Why(w analyze.Why) string {
	switch w {
	case analyze.WhyNoTone:
		return "no tone"
	}
	if code, ok := w.Code(); ok {
		return strings.ReplaceAll(string(code), "-", " ")
	}
	return string(w)
}

// Filter is a filter with what it passes.
func Filter(f job.Filter) string {
	switch f.String() {
	case job.SpeechBand:
		return "speech-band (300 to 3400 Hz)"
	case job.Psophometric:
		return "psophometric (ITU-T O.41)"
	case job.CMessage:
		return "c-message (IEEE 743)"
	case job.AWeighting:
		return "a-weighting (IEC 61672-1)"
	case job.Wide:
		return "wide (from 20 Hz)"
	}
	return Significant(f.Low, 6) + " to " + Significant(f.High, 6) + " Hz"
}

// FilterAt is a filter with what it passes at a sample rate, which cuts the wide one.
func FilterAt(f job.Filter, rate int) string {
	if f.Name != job.Wide || rate <= 0 {
		return Filter(f)
	}
	return "wide (20 Hz to " + Significant(job.WideTop(rate)/1000, 4) + " kHz)"
}

// verdictWord is an outcome as people read it, with its colour.
type verdictWord struct {
	Word    string
	Outcome doc.Outcome
}

// Verdicts are the outcomes as people read them.
var Verdicts = map[string]verdictWord{
	limit.Pass:      {"PASS", doc.Good},
	limit.Fail:      {"FAIL", doc.Bad},
	limit.Undecided: {"TOO CLOSE TO CALL", doc.Unclear},
	limit.NotJudged: {"NOT JUDGED", doc.Unclear},
}

// Verdict is a verdict on a figure as people read it. What was not given is not
// too close to a limit.
func Verdict(j limit.Judged) string {
	if j.Verdict.Outcome == limit.Undecided && !j.Figure.OK() {
		return "NOT MEASURED"
	}
	return Verdicts[j.Verdict.Outcome].Word
}

// Assumed names the tolerances that a verdict rests on and that nobody stated, "" where
// there are none.
func Assumed(v limit.Verdict) string {
	var names []string
	for _, c := range v.Assumed {
		unitName := c.Unit
		if unitName == "" {
			unitName = "dB"
		}
		names = append(names, c.Name+" \u00b1"+Significant(c.HalfWidth, 2)+" "+unitName)
	}
	if len(names) == 0 {
		return ""
	}
	return "assumed until stated: " + strings.Join(names, ", ")
}

// PointVerdict is a verdict on a sensitivity as people read it. Where there is no
// point, none is too close to the limit.
func PointVerdict(v limit.Verdict, s analyze.Result) string {
	if v.Outcome == limit.Undecided && s.Point.Status != analyze.Found {
		return "NOT MEASURED"
	}
	return Verdicts[v.Outcome].Word
}

// Ordinal is a number in an order: "1st", "2nd".
func Ordinal(n int) string {
	switch {
	case n%10 == 1 && n%100 != 11:
		return fmt.Sprintf("%dst", n)
	case n%10 == 2 && n%100 != 12:
		return fmt.Sprintf("%dnd", n)
	case n%10 == 3 && n%100 != 13:
		return fmt.Sprintf("%drd", n)
	}
	return fmt.Sprintf("%dth", n)
}
