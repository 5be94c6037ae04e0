package analyze

import (
	"math"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
)

// steppedRound is one round of a job: a set, and the levels in the order in which the
// generator was stepped.
type steppedRound struct {
	set     simulate.Set
	levels  []float64
	seconds float64
	seed    uint64
}

// inSteps are n levels from a first one, in dBm.
func inSteps(first, step float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = first + step*float64(i)
	}
	return out
}

// record gives the test, the whole as one recording, and the same sound as one
// recording for each level.
func (s steppedRound) record(t *testing.T) (test job.Sensitivity, whole capture.Recording, single []capture.Recording) {
	card := simulate.PlainCard()
	card.Rate = 8000
	b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: s.set, Card: card, Seed: s.seed}
	test = job.Sensitivity{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}, Kind: unit.PD, Deviation: 1200}
	var segments []simulate.Segment
	for _, l := range s.levels {
		test.Takes = append(test.Takes, job.Take{Level: unit.DBm(l), Typed: unit.DBm(l).String()})
		segments = append(segments, simulate.Segment{Seconds: s.seconds, LevelDBm: l})
	}
	whole = b.Recording("steps.wav", segments...)
	n := int64(s.seconds * float64(card.Rate))
	for i := range s.levels {
		one, err := whole.Cut(int64(i)*n, n)
		require.NoError(t, err)
		single = append(single, one)
	}
	return test, whole, single
}

// One recording of many levels gives the point that the same sound gives as one
// recording for each level, within 0.1 dB: both rounds of a job of 40 recordings,
// each of 20 levels in steps of 1 dB and 5 s, stepped up and stepped down. go test
// takes some levels around the point. The stepped one lacks what may be a
// neighbour's, 0.2 s of 5 s: where one heavy click of a set at its threshold is in
// that, the point moves more; of many rounds one in twenty may, by up to 0.2 dB.
func TestSteppedRecordingGivesTheSamePoint(t *testing.T) {
	rounds := []steppedRound{{simulate.Healthy27MHzFM(), inSteps(-122, 1, 7), 3, 5}}
	if os.Getenv("HISSPOINT_LONG") == "1" {
		rounds = nil
		for seed := range uint64(25) {
			rounds = append(rounds, steppedRound{simulate.Deaf27MHzFM(), inSteps(-115, 1, 20), 5, 100 + seed},
				steppedRound{simulate.Healthy27MHzFM(), inSteps(-125, 1, 20), 5, 200 + seed})
		}
	}
	worst, beyond := 0.0, 0
	for _, s := range rounds {
		if s.seed%2 == 0 {
			slices.Reverse(s.levels)
		}
		test, whole, single := s.record(t)
		want, err := Sensitivity(test, single)
		require.NoError(t, err)
		require.Equal(t, Found, want.Point.Status)
		got, err := SteppedSensitivity(test, whole)
		require.NoError(t, err)
		require.Equal(t, Found, got.Point.Status, got.Point.Why)
		require.Len(t, got.Series.Rows, len(s.levels))
		d := math.Abs(want.Point.Level.DB - got.Point.Level.DB)
		worst = math.Max(worst, d)
		if d > 0.1 {
			t.Logf("seed %d: %.3f dB apart", s.seed, d)
			beyond++
		}
	}
	t.Logf("%d rounds, the stepped one at most %.3f dB from the other, %d by more than 0.1 dB", len(rounds), worst, beyond)
	assert.LessOrEqual(t, beyond, len(rounds)/20)
	assert.LessOrEqual(t, worst, 0.2)
}

// A list that does not fit is refused, with what was found.
func TestSteppedRecordingThatDoesNotFit(t *testing.T) {
	test, whole, _ := steppedRound{simulate.Healthy27MHzFM(), []float64{-107, -112, -117, -120}, 1.5, 6}.record(t)
	wrong := test
	wrong.Takes = slices.Clone(test.Takes)
	slices.Reverse(wrong.Takes)
	got, err := SteppedSensitivity(wrong, whole)
	require.NoError(t, err)
	assert.Equal(t, StepsMismatch, got.Point.Status)
	assert.Contains(t, got.Point.Why, "but the audio goes the other way")

	wrong.Takes = test.Takes[1:]
	got, err = SteppedSensitivity(wrong, whole)
	require.NoError(t, err)
	assert.Equal(t, StepsMismatch, got.Point.Status)
	assert.Empty(t, got.Series.Rows)
	assert.Len(t, got.Plateaus, 4)
	assert.Contains(t, got.Point.Why, "3 levels are listed and 4 were found; found: 0.0 to 1.4 s SINAD 2")
	assert.Contains(t, got.Point.Why, " to 6.0 s SINAD ")
}

// AM takes each level with the modulation on and off; both are steps of the one
// recording, and the point is that of single recordings that begin once the gain
// control has settled, 0.7 s behind each step.
func TestSteppedRecordingOfAM(t *testing.T) {
	card := simulate.PlainCard()
	card.Rate = 8000
	b := simulate.Bench{Generator: steppedAM.generator, Set: steppedAM.set, Card: card, Seed: 7}
	test := job.Sensitivity{Criterion: job.Criterion{Quantity: job.QuantitySNN, Value: 10, Unit: "dB"}, Kind: unit.PD, Mode: job.AM}
	var segments []simulate.Segment
	for _, l := range []float64{-104, -110, -114} {
		for _, state := range []string{job.StateModulated, job.StateCarrier} {
			test.Takes = append(test.Takes, job.Take{Level: unit.DBm(l), Typed: unit.DBm(l).String(), State: state})
			segments = append(segments, simulate.Segment{Seconds: 2.5, LevelDBm: l, Unmodulated: state == job.StateCarrier})
		}
	}
	whole := b.Recording("steps.wav", segments...)
	rows := make([]Row, len(segments))
	for i := range rows {
		one, err := whole.Cut(int64((2.5*float64(i)+0.7)*float64(card.Rate)), int64(1.8*float64(card.Rate)))
		require.NoError(t, err)
		rows[i].Take = test.Takes[i]
		rows[i].Measured, err = Measure(one, test.How())
		require.NoError(t, err)
	}
	want, err := SensitivityOf(test, rows)
	require.NoError(t, err)
	require.Equal(t, Found, want.Point.Status, want.Point.Why)
	got, err := SteppedSensitivity(test, whole)
	require.NoError(t, err)
	require.Equal(t, Found, got.Point.Status, got.Point.Why)
	assert.InDelta(t, want.Point.Level.DB, got.Point.Level.DB, 0.1)
}
