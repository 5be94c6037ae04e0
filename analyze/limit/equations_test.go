package limit

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// Every figure that a limit may bound has a measurement equation, with something at the
// bench that acts on it, and every act an input that the table of assumptions has.
func TestEveryJudgedFigureHasItsEquation(t *testing.T) {
	judged := job.BoundedQuantities()
	for _, k := range job.Kinds() {
		judged = append(judged, k.Limits...)
	}
	assert.Contains(t, judged, job.QuantityResponse)
	for _, name := range append(judged, job.QuantityResponse+job.FigureLeast, job.FigureTilt, job.FigureRejection) {
		e, ok := equations[name]
		assert.True(t, ok, "%s has no measurement equation: add one to the table", name)
		assert.NotEmpty(t, e.formula, name)
		assert.NotEmpty(t, e.acts, name)
	}
	assumed := map[job.Input]bool{}
	for _, a := range job.Assumptions {
		assert.False(t, assumed[a.Input], "%s stands twice", a.Input)
		assert.Positive(t, a.Half)
		assert.NotEmpty(t, a.Reason)
		assumed[a.Input] = true
	}
	acts := map[job.Input]bool{}
	for name, e := range equations {
		for _, a := range e.acts {
			assert.True(t, assumed[a.in], "%s of %s has no tolerance", a.in, name)
			acts[a.in] = true
		}
		row, known := job.FigureOf(name)
		assert.True(t, known || name == analyze.THDN || name == analyze.ToneLevel || name == analyze.LevelVolts || name == analyze.Power, name)
		assert.NotEqual(t, known, row.Name == "")
	}
	for in := range assumed {
		assert.True(t, acts[in], "%s acts on nothing", in)
	}
}
