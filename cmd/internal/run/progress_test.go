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

// Of one long file the share that was read is told as it grows, whether it is measured or
// taken to parts, and its figures are those that it has where nobody asks.
func TestOneLongFileTellsItsShare(t *testing.T) {
	const rate = 8000
	x := make([]float64, 60*rate)
	for i := range x {
		x[i] = 0.4*math.Sin(2*math.Pi*1000.3*float64(i)/rate) + 0.01*math.Sin(float64(i*i%9973))
	}
	path := filepath.Join(t.TempDir(), "long.wav")
	require.NoError(t, wav.WriteFile(path, wav.Format{Rate: rate, Bits: 16}, x))
	var told []float64
	tell := func(done float64, total int, _ string) {
		assert.Equal(t, 1, total)
		told = append(told, done)
	}
	grows := func(end float64) {
		t.Helper()
		require.Greater(t, len(told), 20)
		assert.IsIncreasing(t, told)
		assert.Less(t, told[0], 0.1)
		assert.InDelta(t, end, told[len(told)-1], leastShare)
	}
	record := Runner{Progress: tell}.Measure([]string{path}, job.Reading{}, Use{})
	grows(1)
	assert.Equal(t, 1.0, told[len(told)-1])
	told = nil
	assert.Equal(t, Runner{}.Measure([]string{path}, job.Reading{}, Use{}), record)

	_, err := Runner{Progress: tell}.Kind(job.Setup{Kind: job.KindSquelch, Stanza: job.Stanza{Takes: []job.Take{{File: path}}}}, Use{})
	require.NoError(t, err)
	grows(1 - leastShare)
}
