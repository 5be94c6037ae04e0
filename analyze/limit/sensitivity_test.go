package limit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

func halfMicrovolt(t *testing.T) job.Limit {
	l, err := job.ParseLimit("0.5 uV PD, invented manual", job.QuantitySensitivity, unit.PD)
	require.NoError(t, err)
	return l
}

func result(status string, p analyze.Point, rows ...analyze.Used) analyze.Result {
	p.Status = status
	return analyze.Result{Rows: rows, Setup: job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}},
		Reading: job.Reading{Mode: job.FM}, Mode: job.FM}}.WithPoint(p)
}

// judgedBy is the verdict on a point by a limit beside its test.
func judgedBy(r analyze.Result, l job.Limit, rule string) Verdict {
	r.Setup.Limits, r.Setup.Decide = []job.Limit{l}, rule
	return JudgeResult(r, nil)[0].Verdict
}

func row(dbm, sinad, half float64) analyze.Used {
	return analyze.Used{Level: unit.DBm(dbm), Worth: []analyze.Reading{analyze.Reading{Name: "sinad", Unit: "dB", Value: sinad, Low: sinad - half, High: sinad + half}}}
}

// 0.5 µV PD is -113.01 dBm, see the table of levels at 50 ohm.
func TestFoundPoint(t *testing.T) {
	for _, c := range []struct {
		value, half float64
		want        string
		margin      float64
	}{
		{-117.2, 1.2, Pass, 4.19}, {-113.5, 1.2, Undecided, 0.49}, {-112.5, 1.2, Undecided, -0.51}, {-110, 1.2, Fail, -3.01},
	} {
		v := judgedBy(result(analyze.Found, analyze.Point{Level: unit.DBm(c.value), Low: c.value - c.half, High: c.value + c.half}), halfMicrovolt(t), job.Guarded)
		assert.Equal(t, c.want, v.Outcome)
		require.NotNil(t, v.MarginDB)
		assert.InDelta(t, c.margin, *v.MarginDB, 0.005)
	}
	v := judgedBy(result(analyze.Found, analyze.Point{Level: unit.DBm(-117), NoInterval: "short"}), halfMicrovolt(t), job.Guarded)
	assert.Equal(t, Undecided, v.Outcome)
	v = judgedBy(result(analyze.Found, analyze.Point{Level: unit.DBm(-117), NoInterval: "short"}), halfMicrovolt(t), job.ByValue)
	assert.Equal(t, Pass, v.Outcome)
}

func TestPointBeyondTheRange(t *testing.T) {
	one := 1.0
	noTone := analyze.Used{Level: unit.DBm(-110), Worth: []analyze.Reading{analyze.Reading{Why: "tone-missing"}}}
	for _, c := range []struct {
		name    string
		status  string
		rows    []analyze.Used
		guarded string
		byValue string
	}{
		{"below, weakest level well inside", analyze.BelowRange, []analyze.Used{row(-116, 15, 1), row(-110, 22, 1)}, Pass, Pass},
		{"below, weakest level inside by less than the generator knows", analyze.BelowRange, []analyze.Used{row(-114, 15, 1), row(-110, 22, 1)}, Undecided, Pass},
		{"below, weakest level outside", analyze.BelowRange, []analyze.Used{row(-110, 15, 1), row(-105, 22, 1)}, Undecided, Undecided},
		{"below, but the weakest reading only just meets it", analyze.BelowRange, []analyze.Used{row(-116, 12.5, 1), row(-112, 20, 1)}, Undecided, Pass},
		{"below, the next one surely does and is inside", analyze.BelowRange, []analyze.Used{row(-118, 12.5, 1), row(-116, 15, 1)}, Pass, Pass},
		{"above, strongest level well outside", analyze.AboveRange, []analyze.Used{row(-116, 3, 1), row(-110, 8, 1)}, Fail, Fail},
		{"above, strongest level outside by less than the generator knows", analyze.AboveRange, []analyze.Used{row(-116, 3, 1), row(-112.5, 8, 1)}, Undecided, Fail},
		{"above, strongest level inside", analyze.AboveRange, []analyze.Used{row(-120, 3, 1), row(-116, 8, 1)}, Undecided, Undecided},
		{"above, no tone at all: the modulation may have been off", analyze.AboveRange, []analyze.Used{noTone}, Undecided, Undecided},
		{"nothing to go by", analyze.AboveRange, []analyze.Used{{Level: unit.DBm(-100), Worth: []analyze.Reading{analyze.Reading{Why: "too short"}}}}, Undecided, Undecided},
		{"only the generator off", analyze.BelowRange, []analyze.Used{{Level: unit.Level{Scale: unit.Off}, Worth: []analyze.Reading{analyze.Reading{Name: "sinad", Value: 20, Low: 19, High: 21}}}}, Undecided, Undecided},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := result(c.status, analyze.Point{}, c.rows...)
			r.Setup.Path.LevelUncertainty = &one // expanded: 1.96 / sqrt 3 = 1.13 dB
			v := judgedBy(r, halfMicrovolt(t), job.Guarded)
			assert.Equal(t, c.guarded, v.Outcome, v.Why)
			assert.Nil(t, v.MarginDB)
			assert.NotEmpty(t, v.Why)
			assert.Equal(t, c.byValue, judgedBy(r, halfMicrovolt(t), job.ByValue).Outcome)
		})
	}
}

func TestNoPointIsNeverAPass(t *testing.T) {
	for _, status := range []string{analyze.Multiple, analyze.TooFew, analyze.StepsMismatch, ""} {
		for _, rule := range []string{job.Guarded, job.ByValue} {
			v := judgedBy(result(status, analyze.Point{Level: unit.DBm(-130), Low: -131, High: -129}), halfMicrovolt(t), rule)
			assert.Equal(t, Undecided, v.Outcome, status)
			assert.NotEmpty(t, v.Why)
		}
	}
}

func TestConditionsThatDoNotFit(t *testing.T) {
	good := func() analyze.Result {
		return result(analyze.Found, analyze.Point{Level: unit.DBm(-117), Low: -118, High: -116})
	}
	for want, change := range map[string]func(*analyze.Result, *job.Limit){
		"the limit is for 20 dB quieting, measured was 12 dB SINAD": func(_ *analyze.Result, l *job.Limit) {
			l.Conditions.Criterion = job.Criterion{Quantity: job.QuantityQuieting, Value: 20, Unit: "dB"}
		},
		"the limit is for 10 dB (S+N)/N, measured was 12 dB SINAD": func(_ *analyze.Result, l *job.Limit) {
			l.Conditions.Criterion = job.Criterion{Quantity: job.QuantitySNN, Value: 10, Unit: "dB"}
		},
		"the limit is for the filter psophometric, measured was with speech-band": func(_ *analyze.Result, l *job.Limit) {
			l.Conditions.Filter = job.Psophometric
		},
		"the limit is for mode am, the set was measured in fm":    func(_ *analyze.Result, l *job.Limit) { l.Conditions.Mode = job.AM },
		"the limit is for a tone of 400 Hz, measured was 1000 Hz": func(_ *analyze.Result, l *job.Limit) { l.Conditions.ToneHz = 400 },
		"the limit is for 3000 Hz of deviation, measured was with 1500 Hz": func(r *analyze.Result, l *job.Limit) {
			l.Conditions.Deviation, r.Setup.Deviation = 3000, 1500
		},
		"the limit is for 30 % modulation, measured was with 60 %":                              func(r *analyze.Result, l *job.Limit) { l.Conditions.Depth, r.Setup.Depth = 30, 60 },
		"the levels are relative: give the generator's levels in µV or dBm to have them judged": func(r *analyze.Result, _ *job.Limit) { r.Point.Level.Scale = unit.Relative },
		`the limit is in "%", not an RF level`:                                                  func(_ *analyze.Result, l *job.Limit) { l.Unit = "%" },
		`the limit says neither at most nor at least, but ""`:                                   func(_ *analyze.Result, l *job.Limit) { l.Bound = "" },
	} {
		r, l := good(), halfMicrovolt(t)
		require.Equal(t, Pass, judgedBy(r, l, "").Outcome)
		change(&r, &l)
		v := judgedBy(r, l, "")
		assert.Equal(t, NotJudged, v.Outcome)
		assert.Equal(t, want, v.Why)
	}
}
