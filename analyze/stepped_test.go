package analyze

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
)

// One recording of many levels gives the point that the same sound gives when it
// is cut by hand where the generator was turned, within 0.1 dB, up and down.
func TestSteppedRecordingGivesTheSamePoint(t *testing.T) {
	card := simulate.PlainCard()
	card.Rate = 16000
	b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: card, Seed: 5}
	levels := []float64{-124, -122, -120, -119, -118, -117, -115, -112, -107}
	test := job.Sensitivity{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}, Kind: unit.PD}
	const seconds = 4
	for _, l := range levels {
		test.Takes = append(test.Takes, job.Take{Level: unit.DBm(l), Typed: unit.DBm(l).String()})
	}
	for _, up := range []bool{true, false} {
		if !up {
			slices.Reverse(test.Takes)
		}
		var segments []simulate.Segment
		for _, take := range test.Takes {
			segments = append(segments, simulate.Segment{Seconds: seconds, LevelDBm: take.Level.DB})
		}
		r := b.Recording("steps.wav", segments...)
		var single []capture.Recording
		for i := range levels {
			one, err := r.Cut(int64(i*seconds*card.Rate), int64(seconds*card.Rate))
			require.NoError(t, err)
			single = append(single, one)
		}
		want, err := Sensitivity(test, single)
		require.NoError(t, err)
		require.Equal(t, Found, want.Point.Status)
		got, err := SteppedSensitivity(test, r)
		require.NoError(t, err)
		require.Equal(t, Found, got.Point.Status, got.Point.Why)
		assert.InDelta(t, want.Point.Level.DB, got.Point.Level.DB, 0.1)
		assert.Len(t, got.Series.Rows, len(levels))

		wrong := test
		wrong.Takes = slices.Clone(test.Takes)
		slices.Reverse(wrong.Takes)
		got, err = SteppedSensitivity(wrong, r)
		require.NoError(t, err)
		assert.Equal(t, StepsMismatch, got.Point.Status)
		assert.Contains(t, got.Point.Why, "but the audio goes the other way")

		wrong.Takes = test.Takes[1:]
		got, err = SteppedSensitivity(wrong, r)
		require.NoError(t, err)
		assert.Equal(t, StepsMismatch, got.Point.Status)
		assert.Empty(t, got.Series.Rows)
		assert.Len(t, got.Plateaus, len(levels))
		assert.Contains(t, got.Point.Why, "8 levels are listed and 9 were found; found: 0.0 to ")
		assert.Contains(t, got.Point.Why, " s SINAD ")
	}
}
