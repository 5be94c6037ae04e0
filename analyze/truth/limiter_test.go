package truth_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/reports/sentence"
)

// limiterOf measures a transmitter whose deviation is dev(input in dB) through a
// flat monitor, with a generator of 1.5 kHz known to so many percent. The rated
// deviation is 2.5 kHz, so standard modulation is 1.5 kHz.
func limiterOf(t *testing.T, percent float64, dev func(db float64) float64, inputs ...float64) analyze.Result {
	t.Helper()
	heard := func(hz float64, seed uint64) capture.Recording {
		s := speechNoise(seed, 1, -60).tone(0.5*hz/40000, 1000, 0)
		return capture.FromSamples("tx.wav", s.rate, s.x)
	}
	s := transmitSetup(job.KindLimiter, map[string]string{job.SettingReferenceDeviation: "1.5 kHz", job.SettingRatedDeviation: "2.5 kHz"})
	s.DeviationPercent = percent
	var rs []capture.Recording
	for i, db := range inputs {
		s.Takes = append(s.Takes, job.Take{At: db, AtTyped: fmt.Sprintf("%g dB", db)})
		rs = append(rs, heard(dev(db), uint64(i)))
	}
	r, err := kind.Limiter(s, append(rs, heard(1500, 99)))
	require.NoError(t, err)
	require.Empty(t, r.Why)
	return r
}

// Without a limiter deviation goes with the input: ten times as much 20 dB above
// that for standard modulation, also where the recording next to it lies 0.9 dB off;
// with one that holds, the same as before. Where it bends in between is not known,
// so the interval reaches over both.
func TestDeviationTwentyDecibelsUpHoldsTheTruth(t *testing.T) {
	straight := func(db float64) float64 { return 1500 * math.Pow(10, db/20) }
	held := func(most float64) func(float64) float64 {
		return func(db float64) float64 { return math.Min(straight(db), most) }
	}
	for name, c := range map[string]struct {
		dev    func(float64) float64
		inputs []float64
		truth  float64
		wide   float64 // the most that the interval may span, as a share
	}{
		"no limiter, between two":          {straight, []float64{-4, 2, 10, 19.1, 25}, 15000, 0.05},
		"no limiter, just above":           {straight, []float64{-4, 2, 10, 16, 20.9}, 15000, 0.05},
		"no limiter, none above":           {straight, []float64{-4, 2, 10, 19.1}, 15000, 0.15},
		"it holds":                         {held(2500), []float64{-4, 2, 10, 19.1, 25}, 2500, 0.05},
		"it bends between":                 {held(14000), []float64{-4, 2, 10, 18, 24}, 14000, 0.2},
		"it bends behind the one recorded": {held(14000), []float64{-4, 2, 10, 19.1}, 14000, 0.15},
	} {
		r := limiterOf(t, 0, c.dev, c.inputs...)
		f := r.Get(job.FigureLimited)
		require.True(t, f.HasInterval(), "%s: %+v", name, f)
		assert.True(t, f.Low <= c.truth && c.truth <= f.High, "%s: %+v", name, f)
		assert.Less(t, f.High-f.Low, c.wide*c.truth, name)
		assert.Contains(t, sentence.Of(r.Says[0]), "20 dB up is", name)
	}
	r := limiterOf(t, 0, straight, -4, 2, 10, 18)
	assert.Contains(t, r.Get(job.FigureLimited).Why, "nor one above it")
}

// What the generator may be off moves every deviation alike, so it is the input's in
// whole, not averaged over the recordings beside it: 5 %, rectangular, is 0.247 dB.
func TestInputForStandardModulationHoldsTheGenerator(t *testing.T) {
	straight := func(db float64) float64 { return 1500 * math.Pow(10, db/20) }
	plain := limiterOf(t, 0, straight, -1, 0.7, 10, 21).Get(job.FigureInputFor60)
	wider := limiterOf(t, 5, straight, -1, 0.7, 10, 21).Get(job.FigureInputFor60)
	assert.InDelta(t, 0, wider.Value, 0.05)
	half := func(r analyze.Reading) float64 { return (r.High - r.Low) / 2 }
	want := 1.96 * 20 * math.Log10(1+0.05/math.Sqrt(3))
	assert.InDelta(t, math.Hypot(half(plain), want), half(wider), 0.02)
}
