package run

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/sentence"
)

// oneFigure is a round of one test with one figure, known to 0.1 dB.
func oneFigure(kind, figure, unitName string, value float64, s job.Setup) reports.Round {
	s.Kind = kind
	r := analyze.Result{Setup: s, Figures: []analyze.Reading{{Name: figure, Unit: unitName, Value: value, Low: value - 0.1, High: value + 0.1}}}
	return reports.Round{Tests: []reports.Test{{Kind: kind, Result: &r}}}
}

// Figures that were not measured alike have no difference: it would be that of the
// filter or of the signal, not of the set.
func TestOnlyWhatWasMeasuredAlikeIsCompared(t *testing.T) {
	at := func(dbm float64) job.Setup {
		return job.Setup{Stanza: job.Stanza{Takes: []job.Take{{State: job.StateOff}, {State: job.StateCarrier, Level: unit.DBm(dbm), Typed: "x"}}}}
	}
	padded := at(-83)
	padded.Path.PadDB = 10
	levels := func(dbm ...float64) job.Setup {
		var s job.Setup
		for _, l := range dbm {
			s.Takes = append(s.Takes, job.Take{Level: unit.DBm(l), Typed: "x"})
		}
		return s
	}
	stated := job.Setup{Stanza: job.Stanza{Level: unit.DBm(-80), LevelTyped: "-80 dBm"}}
	behind := at(-93) // the carrier alone is what quieting is about
	behind.Takes = append(behind.Takes, job.Take{State: job.StateModulated, Level: unit.DBm(-60), Typed: "x"})
	wide := job.Setup{Reading: job.Reading{Filter: job.Filter{Name: job.Wide}}}
	low := job.Setup{Reading: job.Reading{ToneHz: 400}}
	for _, c := range []struct {
		kind, figure string
		before, now  job.Setup
		says         string
	}{
		{job.KindHumNoise, job.QuantityHumNoise, job.Setup{}, job.Setup{}, ""},
		{job.KindHumNoise, job.QuantityHumNoise, job.Setup{}, wide, "the filter was speech-band, and is wide"},
		{job.KindDistortion, analyze.THD, low, job.Setup{}, "the tone was 400 Hz, and is 1000 Hz"},
		{job.KindDistortion, analyze.THD, job.Setup{Reading: job.Reading{Deviation: 1200}}, job.Setup{Reading: job.Reading{Deviation: 3000}}, "the deviation was 1200 Hz, and is 3000 Hz"},
		{job.KindSignalNoise, job.QuantitySNN, job.Setup{Stanza: job.Stanza{Depth: 30}}, job.Setup{Stanza: job.Stanza{Depth: 60}}, "the depth was 30 %, and is 60 %"},
		{job.KindQuieting, job.QuantityQuieting, at(-93), at(-103), "the level at the set was -93 dBm, and is -103 dBm"},
		{job.KindQuieting, job.QuantityQuieting, at(-93), padded, ""},
		{job.KindQuieting, job.FigureQuietingPoint, at(-93), at(-103), ""},
		{job.KindCentring, job.FigureCentre, at(-93), at(-103), ""},
		{job.KindQuieting, job.QuantityQuieting, behind, at(-103), "the level at the set was -93 dBm, and is -103 dBm"},
		{job.KindSquelch, job.QuantityClosing, levels(-80), levels(-110), "the level at the set was -80 dBm, and is -110 dBm"},
		{job.KindSquelch, job.QuantityClosing, stated, job.Setup{}, "the level at the set was -80 dBm, and is not stated"},
		{job.KindLevelCurve, job.FigureGainMerit, levels(-50, -100), levels(-50, -110), "the weakest level was -100 dBm, and is -110 dBm"},
		{job.KindLevelCurve, job.FigureGainSpread, levels(-50, -100), levels(-40, -100), "the strongest level was -50 dBm, and is -40 dBm"},
		{job.KindLevelCurve, job.FigureGainSixDB, levels(-50, -100), levels(-50, -110), ""},
		{job.KindLevelCurve, job.FigureGainSixDB, levels(-50, -100), levels(-70, -110), "the level at the set was -50 dBm, and is -70 dBm"},
	} {
		before, now := oneFigure(c.kind, c.figure, "dB", 20, c.before), oneFigure(c.kind, c.figure, "dB", 25, c.now)
		all := changesOf(before, now, false)
		says := now.Tests[0].Result.Says
		if c.says == "" {
			require.Len(t, all, 1, c.figure)
			assert.InDelta(t, 5, all[0].Figure.Value, 1e-12)
			assert.Empty(t, says)
			continue
		}
		assert.Empty(t, all, c.says)
		require.Len(t, says, 1)
		assert.Contains(t, sentence.Of(says[0]), c.says)
	}
	dbfs := func(v float64) reports.Round {
		return oneFigure(job.KindHiss, job.FigureHissLevel, "dBFS", v, job.Setup{})
	}
	assert.Len(t, changesOf(dbfs(-20), dbfs(-30), false), 1)
	assert.Empty(t, changesOf(dbfs(-20), dbfs(-30), true))
}

func TestOnlyPointsByOneCriterionAreCompared(t *testing.T) {
	of := func(quantity string, value float64) reports.Round {
		r := analyze.Result{Setup: job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: quantity, Value: value, Unit: "dB"}}}}.
			WithPoint(analyze.Point{Status: analyze.Found, Level: unit.DBm(-110 + value/10)})
		return reports.Round{Tests: []reports.Test{{Kind: job.KindSensitivity, Result: &r}}}
	}
	assert.Len(t, changesOf(of(job.QuantitySINAD, 12), of(job.QuantitySINAD, 12), false), 1)
	now := of(job.QuantitySINAD, 20)
	assert.Empty(t, changesOf(of(job.QuantitySINAD, 12), now, false))
	require.Len(t, now.Tests[0].Result.Warnings, 1)
	assert.Contains(t, sentence.Of(now.Tests[0].Result.Warnings[0].Says), "the criterion was")
}

func changesOf(before, after reports.Round, scaleChanged bool) []reports.Change {
	all, _ := changes(before, after, scaleChanged)
	return all
}
