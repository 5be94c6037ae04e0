package kind

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
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

// handSeconds is how long a hand is at the generator before the level changes, and
// after its contacts are quiet. No recording of one level has any of that; it is as
// long as what Steps leaves out where a border is sharp.
const handSeconds = 0.15

// inSteps are n levels from a first one, in dBm.
func inSteps(first, step float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = first + step*float64(i)
	}
	return out
}

// record gives the test, the whole as one recording, and the same sound without the
// moments of turning as one recording for each level. Half of the changes have a
// noise of contacts.
func (s steppedRound) record(t *testing.T) (test job.Setup, whole capture.Recording, single []capture.Recording) {
	card := simulate.PlainCard()
	card.Rate = 8000
	r := rand.New(rand.NewPCG(s.seed, 78))
	b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: s.set, Card: card, Seed: s.seed}
	test = job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}, Deviation: 1200}, Reading: job.Reading{Deviation: 1200}, LevelKind: unit.PD}
	var segments []simulate.Segment
	starts, contacts := []float64{0}, []float64{}
	for i, l := range s.levels {
		test.Takes = append(test.Takes, job.Take{Level: unit.DBm(l), Typed: unit.DBm(l).String()})
		seconds := s.seconds
		if i > 0 {
			seconds += contacts[i-1] + handSeconds
		}
		if i < len(s.levels)-1 {
			seconds += handSeconds
			contacts = append(contacts, max(0, 0.2*r.Float64()-0.1))
			starts = append(starts, starts[i]+s.seconds+2*handSeconds+contacts[i])
		}
		segments = append(segments, simulate.Segment{Seconds: seconds, LevelDBm: l})
	}
	x := b.Record(segments...)
	for i, seconds := range contacts {
		peak, from := 0.1+0.7*r.Float64(), int((starts[i]+s.seconds+handSeconds)*float64(card.Rate))
		for k := range int(seconds * float64(card.Rate)) {
			x[from+k] = math.Max(-1, math.Min(1, x[from+k]+peak*(2*r.Float64()-1)))
		}
	}
	whole = capture.FromSamples("steps.wav", card.Rate, x)
	for _, from := range starts {
		one, err := whole.Cut(int64(from*float64(card.Rate)+0.5), int64(s.seconds*float64(card.Rate)))
		require.NoError(t, err)
		single = append(single, one)
	}
	return test, whole, single
}

// points are those of the stepped recording and of the single ones.
func (s steppedRound) points(t *testing.T) (stepped, single analyze.Point) {
	test, whole, singles := s.record(t)
	want, err := Sensitivity(test, singles)
	require.NoError(t, err)
	require.Equal(t, analyze.Found, want.Point.Status)
	got, err := steppedSensitivity(test, whole)
	require.NoError(t, err)
	require.Equal(t, analyze.Found, got.Point.Status, got.Point.Why)
	require.Len(t, got.Rows, len(s.levels))
	assert.Empty(t, got.Warnings)
	return *got.Point, *want.Point
}

// One recording of many levels gives the point that the same sound gives as one
// recording for each level, within 0.1 dB: both rounds of a job of 40 recordings,
// each of 20 levels in steps of 1 dB and 5 s, stepped up and stepped down. go test
// takes some levels around the point. Both have the same noise, so that a difference
// comes from where the levels were taken to begin and end alone. With another noise, or
// where a single recording holds tenths of a second that the stepped one leaves out, one
// heavy click of a set at its threshold can move the point by 0.2 dB: that much of its
// SINAD of 5 s hangs on it.
func TestSteppedRecordingGivesTheSamePoint(t *testing.T) {
	rounds := []steppedRound{{simulate.Healthy27MHzFM(), inSteps(-120, 1, 5), 2.5, 5}}
	if os.Getenv("HISSPOINT_LONG") == "1" {
		rounds = nil
		for seed := range uint64(25) {
			rounds = append(rounds, steppedRound{simulate.Deaf27MHzFM(), inSteps(-115, 1, 20), 5, 100 + seed},
				steppedRound{simulate.Healthy27MHzFM(), inSteps(-125, 1, 20), 5, 200 + seed})
		}
	}
	worst, sum := 0.0, 0.0
	for _, s := range rounds {
		if s.seed%2 == 0 {
			slices.Reverse(s.levels)
		}
		got, want := s.points(t)
		d := got.Level.DB - want.Level.DB
		assert.InDelta(t, 0, d, 0.1, "seed %d", s.seed)
		worst, sum = math.Max(worst, math.Abs(d)), sum+d*d
	}
	t.Logf("%d rounds, the stepped one at most %.3f dB from the other, %.3f dB rms", len(rounds), worst, math.Sqrt(sum/float64(len(rounds))))
}

// With another noise the stepped recording's point is no further from that of single
// recordings than their intervals say: each one is held against the single ones of
// the four rounds that follow.
func TestSteppedRecordingAgainstOthers(t *testing.T) {
	if os.Getenv("HISSPOINT_LONG") != "1" {
		t.Skip("statistics of 250 rounds: HISSPOINT_LONG=1")
	}
	const rounds, others = 250, 4
	var stepped, single []analyze.Point
	for seed := range uint64(rounds) {
		s := steppedRound{simulate.Healthy27MHzFM(), inSteps(-122, 1, 7), 3, 1000 + seed}
		got, want := s.points(t)
		stepped, single = append(stepped, got), append(single, want)
	}
	inside, half := 0.0, 0.0
	for i, a := range stepped {
		for k := 1; k <= others; k++ {
			b := single[(i+k)%rounds]
			d := b.Level.DB - a.Level.DB
			joint := math.Hypot(a.High-a.Level.DB, b.Level.DB-b.Low)
			if d < 0 {
				joint = math.Hypot(a.Level.DB-a.Low, b.High-b.Level.DB)
			}
			if math.Abs(d) <= joint {
				inside += 1.0 / (rounds * others)
			}
			if math.Abs(d) <= 0.5*joint {
				half += 1.0 / (rounds * others)
			}
		}
	}
	t.Logf("%d pairs of %d rounds: %.1f %% of the differences lie in the joint interval, of half its width %.1f %%", rounds*others, rounds, 100*inside, 100*half)
	// Four pairs of a round are hardly more than one: two standard deviations of 250.
	chance := 2 * math.Sqrt(0.05*0.95/rounds)
	assert.InDelta(t, 0.95, inside, 0.02+chance)
	assert.Less(t, half, 0.93-chance, "intervals that are much too narrow are noticed")
}

// A list that does not fit is refused, with what was found.
func TestSteppedRecordingThatDoesNotFit(t *testing.T) {
	test, whole, _ := steppedRound{simulate.Healthy27MHzFM(), []float64{-107, -112, -117, -120}, 1.5, 6}.record(t)
	wrong := test
	wrong.Takes = slices.Clone(test.Takes)
	slices.Reverse(wrong.Takes)
	got, err := steppedSensitivity(wrong, whole)
	require.NoError(t, err)
	assert.Equal(t, analyze.StepsMismatch, got.Point.Status)
	assert.Contains(t, got.Point.Why, "but the audio goes the other way")

	wrong.Takes = test.Takes[1:]
	got, err = steppedSensitivity(wrong, whole)
	require.NoError(t, err)
	assert.Equal(t, analyze.StepsMismatch, got.Point.Status)
	assert.Empty(t, got.Series())
	assert.Len(t, got.Rows, 4)
	assert.Contains(t, got.Point.Why, "3 levels are listed and 4 were found; found: 0.0 to 1.5 s SINAD 2")
	assert.Contains(t, got.Point.Why, " to 7.1 s SINAD ")
}

// AM takes each level with the modulation on and off; both are steps of the one
// recording, and the point is that of single recordings that begin once the gain
// control has settled, 0.7 s behind each step.
func TestSteppedRecordingOfAM(t *testing.T) {
	card := simulate.PlainCard()
	card.Rate = 8000
	b := simulate.Bench{Generator: simulate.StandardAMGenerator(), Set: simulate.Healthy27MHzAM(), Card: card, Seed: 7}
	test := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySNN, Value: 10, Unit: "dB"}}, Reading: job.Reading{Mode: job.AM}, LevelKind: unit.PD, Mode: job.AM}
	var segments []simulate.Segment
	for _, l := range []float64{-104, -110, -114} {
		for _, state := range []string{job.StateModulated, job.StateCarrier} {
			test.Takes = append(test.Takes, job.Take{Level: unit.DBm(l), Typed: unit.DBm(l).String(), State: state})
			segments = append(segments, simulate.Segment{Seconds: 2.5, LevelDBm: l, Unmodulated: state == job.StateCarrier})
		}
	}
	whole := b.Recording("steps.wav", segments...)
	rows := make([]analyze.Used, len(segments))
	for i := range rows {
		one, err := whole.Cut(int64((2.5*float64(i)+0.7)*float64(card.Rate)), int64(1.8*float64(card.Rate)))
		require.NoError(t, err)
		rows[i].Take = test.Takes[i]
		rows[i].Measured, err = reading.Measure(one, test.Reading)
		require.NoError(t, err)
	}
	want, err := SensitivityOf(test, rows)
	require.NoError(t, err)
	require.Equal(t, analyze.Found, want.Point.Status, want.Point.Why)
	got, err := steppedSensitivity(test, whole)
	require.NoError(t, err)
	require.Equal(t, analyze.Found, got.Point.Status, got.Point.Why)
	assert.InDelta(t, want.Point.Level.DB, got.Point.Level.DB, 0.1)
}
