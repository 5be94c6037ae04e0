package say

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
)

// TOO CLOSE TO CALL is said only of a limit that lies in an interval (ILAC-G8's
// guarded rule), which needs a point.
func TestOnlyAPointIsTooCloseToCall(t *testing.T) {
	taken := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Takes: []job.Take{{File: "a.wav"}}}}
	for status, want := range map[string]string{
		analyze.Found: "TOO CLOSE TO CALL", analyze.BelowRange: "NOT MEASURED", analyze.AboveRange: "NOT MEASURED",
		analyze.TooFew: "NOT MEASURED", analyze.Multiple: "NOT MEASURED",
	} {
		r := analyze.Result{Setup: taken}.WithPoint(analyze.Point{Status: status})
		assert.Equal(t, want, PointVerdict(limit.Verdict{Outcome: limit.Undecided}, r), status)
	}
	open := analyze.Result{}.WithPoint(analyze.Point{Status: analyze.TooFew})
	assert.Equal(t, "NOT MEASURED", PointVerdict(limit.Verdict{Outcome: limit.Undecided}, open))
}
