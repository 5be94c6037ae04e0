package doc

import (
	"fmt"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
)

// shown is a reading as people know it.
type shown struct{ name, label string }

// readings in the order in which a block shows them: what decides first.
var readings = []shown{
	{analyze.SINAD, job.LabelOf(analyze.SINAD)},
	{analyze.SNR, job.LabelOf(analyze.SNR)},
	{analyze.THD, job.LabelOf(analyze.THD)},
	{analyze.THDN, "distortion + noise (THD+N)"},
	{analyze.ToneLevel, "recovered audio (tone)"},
	{analyze.ToneFrequency, "tone frequency"},
	{analyze.ToneDrift, "tone drifts"},
	{analyze.NoiseLevel, "noise"},
	{analyze.HumLevel, "hum"},
	{analyze.HumFrequency, "mains frequency"},
	{analyze.Level, "level (RMS)"},
	{analyze.LevelVolts, "level (RMS)"},
	{analyze.Power, "power"},
	{analyze.Peak, "peak"},
	{analyze.DCOffset, "DC offset"},
}

// why says in a few words why a reading has no value.
func why(w analyze.Why) string {
	switch w {
	case analyze.WhyNoTone:
		return "no tone"
	case analyze.WhyNoMains:
		return "none above the noise"
	}
	if code, ok := w.Code(); ok {
		return strings.ReplaceAll(string(code), "-", " ")
	}
	return string(w)
}

// filterName is a filter with what it passes.
func filterName(f job.Filter) string {
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

// verdictWord is an outcome as people read it, with its colour.
type verdictWord struct {
	Word    string
	Outcome Outcome
}

// verdictWords are the outcomes as people read them.
var verdictWords = map[string]verdictWord{
	limit.Pass:      {"PASS", Good},
	limit.Fail:      {"FAIL", Bad},
	limit.Undecided: {"TOO CLOSE TO CALL", Unclear},
	limit.NotJudged: {"NOT JUDGED", Unclear},
}

// wordOf is a verdict on a figure as people read it. What was not given is not
// too close to a limit.
func wordOf(j limit.Judged) string {
	if j.Verdict.Outcome == limit.Undecided && !j.Figure.OK() {
		return "NOT GIVEN"
	}
	return verdictWords[j.Verdict.Outcome].Word
}

// pointWord is a verdict on a sensitivity as people read it. Where there is no
// point, none is too close to the limit.
func pointWord(v limit.Verdict, s analyze.Result) string {
	switch status := s.Point.Status; {
	case v.Outcome != limit.Undecided || status == analyze.Found:
		return verdictWords[v.Outcome].Word
	case status == analyze.BelowRange || status == analyze.AboveRange:
		return "UNDECIDED"
	case len(s.Setup.Takes) == 0 && len(s.Series()) == 0:
		return "NOT RECORDED YET"
	}
	return "NOT GIVEN"
}

func ordinal(n int) string {
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
