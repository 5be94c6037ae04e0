package truth_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/change"
	"hisspoint/analyze/kind"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// levelsOpen is a test of a squelch that opens and closes at given levels, in steps of
// so many dB, the generator known to +-1 dB and the pad to +-0.5 dB.
func levelsOpen(t *testing.T, step, opens, closes float64) analyze.Result {
	t.Helper()
	b := testOf(job.KindSquelchLevels, job.FM)
	tolerance := 1.0
	b.setup.Path = job.RFPath{LevelUncertainty: &tolerance, PadUncertaintyDB: 0.5}
	open := false
	for i := -3; i <= 3; i++ {
		l := -110 - step*math.Abs(float64(i))
		open = l >= opens || open && l > closes
		s := speechNoise(uint64(i+9), 0.4, -60)
		if open {
			s = s.tone(0.3, 1000, 0)
		}
		b.level(t, unit.Level{DB: l}.String(), s)
	}
	return b.run(t, kind.SquelchLevels)
}

// Levels of a squelch are as well known as the generator's: +-1 dB and +-0.5 dB,
// rectangular, are 1.26 dB expanded (ETSI TR 100 028). It is the same error up and down,
// and before and after, so it cancels in the hysteresis and in a change.
func TestSquelchLevelsHoldTheGenerator(t *testing.T) {
	r := levelsOpen(t, 2, -112.5, -115)
	more := 1.96 * math.Hypot(1, 0.5) / math.Sqrt(3)
	opens, closes := r.Get(job.FigureOpensAt), r.Get(job.FigureClosesAt)
	assert.InDelta(t, -112+more, opens.High, 1e-4)
	assert.InDelta(t, -112-math.Hypot(2, more), opens.Low, 1e-4)
	assert.InDelta(t, -116-more, closes.Low, 1e-4)
	assert.InDelta(t, -116+math.Hypot(2, more), closes.High, 1e-4)
	h := r.Get(job.FigureHysteresis)
	assert.InDeltaSlice(t, []float64{0, 4, 4}, []float64{h.Low, h.Value, h.High}, 1e-4)
	moved, ok := change.Shared(opens, levelsOpen(t, 2, -113.5, -115).Get(job.FigureOpensAt))
	require.True(t, ok)
	assert.InDeltaSlice(t, []float64{-2, 0, 2}, []float64{moved.Low, moved.Value, moved.High}, 1e-4)
	assert.Empty(t, r.Says)
}

// A threshold anywhere between two levels, behind a generator that is off by up to what
// it states, lies in the interval 93 times of 100 and more.
func TestSquelchIntervalHoldsTheThreshold(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for _, step := range []float64{0.5, 2, 8} {
		opens := levelsOpen(t, step, -110.1, -110-5*step).Get(job.FigureOpensAt)
		const n = 20000
		inside := 0
		for range n {
			truth := -110 - step*rng.Float64() + (2*rng.Float64() - 1) + (rng.Float64() - 0.5)
			if opens.Low <= truth && truth <= opens.High {
				inside++
			}
		}
		assert.GreaterOrEqual(t, float64(inside)/n, 0.93, "steps of %g dB", step)
	}
}
