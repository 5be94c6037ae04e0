package service

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
)

// A test without a limit that was recorded and gave no figure does not let a round
// pass, as little as one that was not recorded.
func TestATestThatGaveNothingIsNoPass(t *testing.T) {
	asked := job.Test{Kind: job.KindDegradation, Stanza: &job.Stanza{Takes: []job.Take{{File: "a.wav"}, {File: "b.wav"}}}}
	passed := limit.Fact{What: "distortion", Outcome: limit.Pass}
	none := analyze.Reading{Name: analyze.Rejection, Why: "SINAD does not come down to 6 dB"}
	for _, c := range []struct {
		result  analyze.Result
		outcome string
	}{
		{analyze.Result{Figures: []analyze.Reading{none}}, limit.Undecided},
		{analyze.Result{}, limit.Undecided},
		{analyze.Result{Figures: []analyze.Reading{none, {Name: "centre", Value: 3, NoInterval: "x"}}}, limit.Pass},
		{analyze.Result{Figures: []analyze.Reading{none}, Answer: "no tone is heard"}, limit.Pass},
	} {
		facts := testFacts(asked, reports.Test{Kind: asked.Kind, Result: &c.result})
		all := limit.Join(append(facts, passed))
		assert.Equal(t, c.outcome, all.Outcome)
		if c.outcome == limit.Undecided {
			require.Len(t, all.Reasons, 1)
		}
	}
}
