package limit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
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
