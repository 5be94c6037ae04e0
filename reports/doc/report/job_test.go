package report

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc/sheet"
)

func TestAMissingFigureDoesNotHideAPass(t *testing.T) {
	closing := analyze.Reading{Name: job.QuantityClosing, Value: 151.3, Low: 150, High: 152, Unit: "ms"}
	attack := analyze.Reading{Name: job.QuantityAttack, Why: "the attack needs the time of keying: give keyed"}
	test := func(outcome string) reports.Test {
		return reports.Test{Kind: job.KindSquelch, Result: &analyze.Result{Figures: []analyze.Reading{closing, attack}}, Judged: []limit.Judged{
			{Figure: closing, Verdict: limit.Verdict{Outcome: outcome}}, {Figure: attack, Verdict: limit.Verdict{Outcome: limit.Undecided, Why: string(attack.Why)}}}}
	}
	a := sheet.ResultAnswer(test(limit.Pass))
	assert.Equal(t, "PASS", a.Verdict)
	assert.Contains(t, a.Reason, "attack is not given: the attack needs the time of keying")
	var why reasons
	assert.Contains(t, why.of(test(limit.Pass), a), ", note 1")
	assert.Contains(t, why.notes[0].Text, "give keyed")
	assert.Equal(t, "FAIL", sheet.ResultAnswer(test(limit.Fail)).Verdict)
}
