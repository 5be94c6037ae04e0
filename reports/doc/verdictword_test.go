package doc

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
)

// TOO CLOSE TO CALL is said only of a limit that lies in an interval (ILAC-G8's
// guarded rule), which needs a point.
func TestOnlyAPointIsTooCloseToCall(t *testing.T) {
	taken := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Takes: []job.Take{{File: "a.wav"}}}}
	for status, want := range map[string]string{
		analyze.Found: "TOO CLOSE TO CALL", analyze.BelowRange: "UNDECIDED", analyze.AboveRange: "UNDECIDED",
		analyze.TooFew: "NOT GIVEN", analyze.Multiple: "NOT GIVEN",
	} {
		r := analyze.Result{Setup: taken}.WithPoint(analyze.Point{Status: status})
		assert.Equal(t, want, pointWord(limit.Verdict{Outcome: limit.Undecided}, r), status)
	}
	open := analyze.Result{}.WithPoint(analyze.Point{Status: analyze.TooFew})
	assert.Equal(t, "NOT RECORDED YET", pointWord(limit.Verdict{Outcome: limit.Undecided}, open))
}

func TestAMissingFigureDoesNotHideAPass(t *testing.T) {
	closing := analyze.Reading{Name: job.QuantityClosing, Value: 151.3, Low: 150, High: 152, Unit: "ms"}
	attack := analyze.Reading{Name: job.QuantityAttack, Why: "the attack needs the time of keying: give keyed"}
	test := func(outcome string) reports.Test {
		return reports.Test{Kind: job.KindSquelch, Result: &analyze.Result{Figures: []analyze.Reading{closing, attack}}, Judged: []limit.Judged{
			{Figure: closing, Verdict: limit.Verdict{Outcome: outcome}}, {Figure: attack, Verdict: limit.Verdict{Outcome: limit.Undecided, Why: string(attack.Why)}}}}
	}
	a := ResultAnswer(test(limit.Pass))
	assert.Equal(t, "PASS", a.Verdict)
	assert.Contains(t, a.Reason, "attack is not given: the attack needs the time of keying")
	var why reasons
	assert.Contains(t, why.of(test(limit.Pass), a), ", note 1")
	assert.Contains(t, why.notes[0].Text, "give keyed")
	assert.Equal(t, "FAIL", ResultAnswer(test(limit.Fail)).Verdict)
}
