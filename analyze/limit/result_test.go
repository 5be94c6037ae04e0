package limit

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// A set is not failed for what the sound card's clipping adds: distortion above its
// limit is then undecided. A pass stands, since clipping adds only.
func TestAClippedRecordingFailsNoSet(t *testing.T) {
	of := func(thd float64, code capture.Code) Verdict {
		m := analyze.Measured{Origin: capture.Origin{File: "loud.wav"}, Warnings: []capture.Warning{{Code: code}}}
		r := analyze.Result{Setup: job.Setup{Kind: job.KindDistortion}, Rows: []analyze.Used{{Measured: m}},
			Figures: []analyze.Reading{{Name: analyze.THD, Unit: "%", Value: thd, Low: thd - 0.1, High: thd + 0.1}}}
		l, err := job.ParseLimit("5 %", job.QuantityDistortion, "")
		require.NoError(t, err)
		r.Setup.Limits = []job.Limit{l}
		all := JudgeResult(r, nil)
		require.Len(t, all, 1)
		return all[0].Verdict
	}
	v := of(14, "clipped")
	assert.Equal(t, Undecided, v.Outcome)
	assert.Contains(t, v.Why, "loud.wav reaches full scale")
	assert.Equal(t, Pass, of(3, "clipped").Outcome)
	assert.Equal(t, Fail, of(14, "clipped-below-full-scale").Outcome)
}

// Whatever a job file may hold that promises a verdict gets one: every figure that a kind
// may bound, and a mask. A figure far outside its limit fails, whatever the kind.
func TestEveryPromiseOfAVerdictIsKept(t *testing.T) {
	bounded := map[string]string{job.QuantitySensitivity: "0.5 uV PD", job.QuantityResponse: "1 dB", job.QuantityClosing: "250 ms", job.QuantityAttack: "150 ms",
		job.QuantityOpening: "10 dB", job.QuantityDeviation: "2 kHz", job.QuantityModulation: "100 %", job.QuantityDistortion: "5 %"}
	for _, k := range job.Kinds() {
		for _, quantity := range k.Limits {
			text := bounded[quantity]
			if text == "" {
				text = "20"
			}
			l, err := job.ParseLimit(text, quantity, "")
			require.NoError(t, err, quantity)
			outside := l.Value + 1000
			if l.Bound == job.AtLeast {
				outside = l.Value - 15
			}
			r := analyze.Result{Setup: job.Setup{Kind: k.Name}, Figures: []analyze.Reading{analyze.NewReading(quantity, l.Unit, outside, outside-1, outside+1)}}
			if k.Point {
				r = r.WithPoint(analyze.Point{Status: analyze.Found, Level: unit.DBm(outside), Low: outside - 1, High: outside + 1})
			}
			r.Setup.Limits = []job.Limit{l}
			all := JudgeResult(r, nil)
			require.Len(t, all, 1, "%s of %s", quantity, k.Name)
			assert.Equal(t, Fail, all[0].Verdict.Outcome, "%s of %s", quantity, k.Name)
		}
		if !slices.Contains(k.Settings, job.SettingMask) {
			continue
		}
		for _, outcome := range []string{analyze.MaskOutside, analyze.MaskInside, analyze.MaskUndecided, analyze.MaskNotJudged} {
			r := analyze.Result{Setup: job.Setup{Kind: k.Name, Stanza: job.Stanza{Settings: map[string]string{job.SettingMask: job.MaskLandMobile}}},
				Response: &analyze.ResponseResult{Mask: &analyze.MaskResult{Mask: analyze.LandMobileMask, Outcome: outcome}}}
			all := JudgeResult(r, nil)
			require.Len(t, all, 1, k.Name)
			assert.Equal(t, outcome, all[0].Verdict.Outcome)
			r.Response.Mask = nil
			assert.Equal(t, Undecided, JudgeResult(r, nil)[0].Verdict.Outcome, "no mask from speech")
			r.Setup.Settings[job.SettingMask] = job.MaskNone
			assert.Empty(t, JudgeResult(r, nil))
		}
	}
}

// Nothing is known of a figure that was not reached but that it is no less than its bound.
func TestAnUnreachedFigureIsJudgedByItsBound(t *testing.T) {
	of := func(text string) Verdict {
		l, err := job.ParseLimit(text, job.QuantityAudioPower, "")
		require.NoError(t, err)
		r := analyze.Result{Setup: job.Setup{Kind: job.KindAudioPower}, Figures: []analyze.Reading{analyze.AtLeast(job.QuantityAudioPower, "W", 2.5, "10 % distortion is not reached")}}
		r.Setup.Limits = []job.Limit{l}
		return JudgeResult(r, nil)[0].Verdict
	}
	assert.Equal(t, Pass, of("at least 2 W").Outcome)
	assert.Equal(t, Undecided, of("at least 3 W").Outcome)
	assert.Equal(t, Fail, of("at most 2 W").Outcome)
	assert.Equal(t, Undecided, of("at most 3 W").Outcome)
}

// What failed in the round before and has no verdict in this one is owed, whatever was
// typed as reason; what is asked for or judged again is not.
func TestWhatFailedIsOwed(t *testing.T) {
	before := []Fact{{Key: "a||thd|max", What: "a", Outcome: Fail}, {Key: "b||thd|max", What: "b", Outcome: Pass}, {Key: "c||x|min", What: "c", Outcome: Fail}}
	why := func(Fact) string { return "no time" }
	passed := Fact{Key: "b||thd|max", What: "b", Outcome: Pass}
	all := Join(append([]Fact{passed}, NotAgain(before, []Fact{passed, {Key: "c||", Missing: true}}, why)...))
	assert.Equal(t, Undecided, all.Outcome)
	assert.Equal(t, []string{"a failed as found and was not measured again: no time"}, all.Reasons)
	assert.Empty(t, NotAgain(before, []Fact{{Key: "a||thd|max", Outcome: Fail}, {Key: "c||x|min", Outcome: NotJudged}}, why))
	assert.Len(t, NotAgain(before, []Fact{{Key: "a||thd|max"}}, why), 2, "a figure without its limit decides nothing")
}
