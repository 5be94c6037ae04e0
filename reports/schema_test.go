package reports_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/internal/handmade"
)

// A validator that this project did not write accepts the records of jobs,
// whatever their points came to, and refuses what is bent.
func TestReportsFitTheirSchema(t *testing.T) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(reports.JobSchema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("report.json", doc))
	schema, err := c.Compile("report.json")
	require.NoError(t, err)
	check := func(text string) error {
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		require.NoError(t, err)
		return schema.Validate(v)
	}
	whole := handmade.Job()
	require.NoError(t, check(written(t, whole)))
	require.NoError(t, check(written(t, handmade.Whole())), "tests of other kinds, hints")

	v := limit.JudgeMeter(job.MeterReading{What: "current", Value: "1 A", Limit: "at most 2 A"}, job.RoundConditions{})
	last := &whole.Rounds[len(whole.Rounds)-1]
	last.ByEye = []reports.MeterReading{{MeterReading: job.MeterReading{What: "current", Value: "1 A", Note: "hot"}, Verdict: v}, {MeterReading: job.MeterReading{What: "x", Value: "y"}}}
	last.Checks = []job.Check{{What: "air test", Yes: true, Note: "two stations"}}
	last.NotMeasured = []job.NotMeasured{{What: "squelch", Why: "none fitted"}}
	last.Overall = limit.Overall{Outcome: limit.Fail, Reasons: []string{"x fails"}}
	require.NoError(t, check(written(t, whole)))

	for _, status := range []string{analyze.BelowRange, analyze.AboveRange, analyze.Multiple, analyze.TooFew, analyze.StepsMismatch} {
		*last.Tests[0].Result.Point = analyze.Point{Status: status, Why: "so it is"}
		require.NoError(t, check(written(t, whole)), status)
	}
	text := written(t, whole)
	for _, bent := range [][2]string{{`"air test"`, `7`}, {`"by eye"`, `"by ear"`}, {`"steps-mismatch"`, `"lost"`}, {`"not_measured"`, `"not_looked_at"`}, {`"schema": 1`, `"schema": 2`}} {
		require.Contains(t, text, bent[0])
		assert.Error(t, check(strings.Replace(text, bent[0], bent[1], 1)), bent[1])
	}
}
