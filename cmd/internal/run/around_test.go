package run

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/wav"
)

// A part is judged by what lies in it: a start that clipped is left out with its fault.
func TestPartCutOutByHandIsJudgedByItself(t *testing.T) {
	const rate = 8000
	x := make([]float64, 4*rate)
	for i := range x {
		x[i] = 0.4*math.Sin(2*math.Pi*1000.3*float64(i)/rate) + 0.01*math.Sin(float64(i*i%9973))
		if i < rate/2 {
			x[i] = math.Max(-1, math.Min(1, 4*x[i]))
		}
	}
	path := filepath.Join(t.TempDir(), "rx.wav")
	require.NoError(t, wav.WriteFile(path, wav.Format{Rate: rate, Bits: 16}, x))
	said := func(use Use) (out []string) {
		for _, w := range (Runner{}).Measure([]string{path}, job.Reading{}, use).Recordings[0].Measured.Warnings {
			out = append(out, string(w.Code))
		}
		return out
	}
	assert.Contains(t, said(Use{}), "clipped")
	assert.NotContains(t, said(Use{From: 1, To: 4}), "clipped")
	assert.NotContains(t, said(Use{From: 1, To: 4, Whole: true}), "clipped")
	assert.Contains(t, said(Use{From: 0.2, To: 4, Whole: true}), "clipped")
}
