package limit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/grid"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// A suppressor cleans what a set did not, so nothing passes by it; one that takes the
// tone down spoils it, so nothing fails by it; what rests on noise is not judged from
// coded sound, and what is "at least" does not fail.
func TestWhatVerdictsMakeOfWorkedOnSound(t *testing.T) {
	of := func(kind, quantity string, value float64, m analyze.Measured) Verdict {
		m.Origin = capture.Origin{File: "a.wav"}
		l, err := job.ParseLimit("40 dB", quantity, "")
		require.NoError(t, err)
		r := analyze.Result{Setup: job.Setup{Kind: kind}, Rows: []analyze.Used{{Measured: m}},
			Figures: []analyze.Reading{{Name: quantity, Unit: "dB", Value: value, Low: value - 1, High: value + 1}}}
		r.Setup.Limits = []job.Limit{l}
		all := JudgeResult(r, nil)
		require.Len(t, all, 1)
		return all[0].Verdict
	}
	high, low := analyze.Measured{Misreads: analyze.TooHigh}, analyze.Measured{Misreads: analyze.TooLow}
	coded := analyze.Measured{Coded: grid.MP3}
	for _, c := range []struct {
		value float64
		m     analyze.Measured
		want  string
	}{
		{45, analyze.Measured{}, Pass}, {35, analyze.Measured{}, Fail},
		{45, high, Undecided}, {35, high, Fail}, {45, low, Pass}, {35, low, Undecided},
		{45, coded, Undecided}, {35, coded, Undecided},
		{35, analyze.Measured{Coded: job.SourceMuLaw}, Fail},
	} {
		v := of(job.KindHumNoise, job.QuantityHumNoise, c.value, c.m)
		assert.Equal(t, c.want, v.Outcome, "%g dB of %+v", c.value, c.m)
		if c.want == Undecided {
			assert.Contains(t, v.Why, "a.wav")
		}
	}
}

// A figure that is "at least" passes a minimum below it and never fails one above.
func TestAtLeastPassesAndDoesNotFail(t *testing.T) {
	row := analyze.Used{Measured: analyze.Measured{Coded: job.SourceAAC, Readings: []analyze.Reading{{Name: analyze.SINAD, Unit: "dB", Value: 30, Low: 29, High: 41, OneSided: "high"}}}}
	r := analyze.Result{Rows: []analyze.Used{row}}
	assert.Equal(t, Undecided, asRecorded(Verdict{Outcome: Fail}, r).Outcome)
	assert.Equal(t, Pass, asRecorded(Verdict{Outcome: Pass}, r).Outcome)
	r.Point, r.Setup.Criterion = &analyze.Point{}, job.Criterion{Quantity: job.QuantitySINAD, Value: 12}
	assert.Equal(t, Fail, asRecorded(Verdict{Outcome: Fail}, r).Outcome, "a point at 12 dB rests on readings near it")
	r.Setup.Criterion.Value = 20
	assert.Equal(t, Undecided, asRecorded(Verdict{Outcome: Fail}, r).Outcome)
	r.Rows[0].Measured.Misreads = analyze.EitherWay
	for _, outcome := range []string{Pass, Fail} {
		assert.Equal(t, Undecided, asRecorded(Verdict{Outcome: outcome}, r).Outcome, "a suppressor may have come before the coder")
	}
}
