package truth_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
)

// Processing of the whole file shows where it settles, and may have changed the part
// too; what else lies outside of the part is none of its faults.
func TestAroundLooksAtTheWholeFile(t *testing.T) {
	const rate = 16000
	clean := bench(71).Take(-112, 8)
	processed := simulate.AutoGain(clean, rate, 0.7, 0.25)
	clipped := append([]float64{}, clean...)
	for i := range rate / 10 {
		clipped[i] *= 8
	}
	for name, c := range map[string]struct {
		x    []float64
		want string
	}{"processed": {processed, "processed-audio"}, "clipped elsewhere": {clipped, ""}, "clean": {clean, ""}} {
		whole := sixteen(rate, to16(c.x))
		part, err := whole.Cut(4*rate, 4*rate)
		require.NoError(t, err)
		m, err := reading.Measure(part, job.Reading{})
		require.NoError(t, err)
		around, err := reading.Around(part, job.Reading{})
		require.NoError(t, err)
		if c.want == "" {
			assert.Empty(t, around, name)
			continue
		}
		assert.NotContains(t, codes(m), c.want, name)
		assert.Contains(t, codes(analyze.Measured{Warnings: around}), c.want, name)
		for _, w := range around {
			for _, at := range w.AtS {
				assert.Less(t, at, 8.0)
			}
		}
	}
}
