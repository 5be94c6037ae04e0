package service

import (
	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
)

func judge(r analyze.SensitivityResult, l job.Limit, rule string) limit.Verdict {
	return limit.Verdict{Outcome: limit.NotJudged, Limit: l, Rule: rule, Why: "limits cannot be judged yet"}
}
