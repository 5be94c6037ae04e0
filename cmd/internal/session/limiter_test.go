package session

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/wav"
	"hisspoint/cmd/internal/run"
)

// A limiter's test from end to end: record plays the inputs one after the other and
// records them with the silence around them, and the test reads what came. The set
// behind the loop deviates by 3 kHz at most, and by 1.5 kHz where the reference is.
func TestALimiterIsRecordedAndRead(t *testing.T) {
	const most, reference = 0.02, 0.01
	x := make([]float64, 2*loopedRate)
	for i := range x {
		x[i] = reference * math.Sin(2*math.Pi*1000*float64(i)/loopedRate)
	}
	dir := jobWith(t, "      - limiter: {rated_deviation: 3 kHz, inputs: [-30 dB, -20 dB, -10 dB, 0 dB], file: tx.wav, reference_file: reference.wav, reference_deviation: 1.5 kHz}\n")
	require.NoError(t, wav.WriteFile(filepath.Join(dir, "reference.wav"), wav.Format{Rate: loopedRate, Bits: 24}, x))
	_, out, said, err := record(t, &looped{most: most}, Settings{Job: dir, Round: "as_left", Level: "-20 dBFS"}, "", "dummy", "", "", "", "")
	require.NoError(t, err)
	assert.Contains(t, out, "tx.wav: a tone, one input after the other (6 s) found", said)

	j, err := jobfile.Load(dir)
	require.NoError(t, err)
	result, err := run.Runner{Dir: dir}.Kind(j.Setup(j.AsLeft, j.AsLeft.Tests[0]), run.Use{})
	require.NoError(t, err)
	require.Empty(t, result.Why)
	require.Len(t, result.Rows, 5)
	for i, input := range []float64{-30, -20, -10, 0} { // the loop halves what is played
		amplitude := math.Min(most, math.Pow(10, (input-20)/20)/2)
		assert.InDelta(t, 1500*amplitude/reference, result.Rows[i].Worth[0].Value, 0.02*1500*amplitude/reference+40, "%g dB", input)
	}
	assert.InDelta(t, 3000, result.Get(job.QuantityDeviation).Value, 80)
}
