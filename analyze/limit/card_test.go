package limit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/budget"
	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

const cardRate = 8000

func qualified(noiseDBFS, distortion float64) *job.Qualified {
	return &job.Qualified{Name: "line in", At: "2026-11-01", Card: job.Card{RateHz: cardRate, DistortionPC: distortion,
		NoiseDBFS: map[string]float64{job.SpeechBand: noiseDBFS}}}
}

// distortionTest is a strong tone in white noise of the set's and of the card's.
func distortionTest(t *testing.T, set, card float64, seed uint64, q *job.Qualified) analyze.Result {
	r, x := rand.New(rand.NewPCG(seed, 5)), make([]float64, cardRate)
	for i := range x {
		x[i] = 0.3*math.Sin(2*math.Pi*1000*float64(i)/cardRate) + set*r.NormFloat64() + card*r.NormFloat64()
	}
	setup := job.Setup{Kind: job.KindDistortion, Reading: job.Reading{Card: q, Mode: job.AM}}
	setup.Takes = []job.Take{{File: "a.wav"}}
	res, err := kind.Distortion(setup, []capture.Recording{capture.FromSamples("a.wav", cardRate, x)})
	require.NoError(t, err)
	require.Empty(t, res.Why)
	return res
}

// Truth by closed form: white noise of so much RMS has 3100 Hz of 4000 in the
// speech band. The card's noise is left in the reading, so its own interval misses
// the truth nearly always, and the widened one holds it, whether the card's noise
// is there in full or not at all.
func TestCardsShareCoversTheTruth(t *testing.T) {
	const set, tries = 0.01, 60
	inBand := func(sigma float64) float64 { return sigma * sigma * 3100 / (cardRate / 2) }
	truth := 10 * math.Log10((0.045+inBand(set))/inBand(set))
	for _, c := range []struct {
		name            string
		card, qualified float64
		own             int // of the readings' own intervals, at most
	}{{"there in full", set / 2, set / 2, 3}, {"not there", 0, set / 2, tries}} {
		q := qualified(unit.DBFS(inBand(c.qualified)), 0)
		held, own := 0, 0
		for i := range tries {
			r := distortionTest(t, set, c.card, uint64(i), q)
			f := WidenResult(r).Get(job.QuantitySINAD)
			was := r.Get(job.QuantitySINAD)
			if f.Low <= truth && truth <= f.High {
				held++
			}
			if was.Low <= truth && truth <= was.High {
				own++
			}
		}
		t.Logf("%s: held the truth %d and %d times of %d", c.name, held, own, tries)
		assert.GreaterOrEqual(t, held, 52, c.name) // 93 % less two standard deviations of 60
		assert.LessOrEqual(t, own, c.own, c.name)
	}
}

// Closed form: hum of the card that stands against the set's takes from it, so
// that SINAD reads too high by 20 log10(1 + c/h) where hum is all that is left.
func TestCardsHumIsInSINAD(t *testing.T) {
	q, hum := qualified(-100, 0), -75.0
	q.Card.HumDBFS, q.Card.RestDBFS = &hum, map[string]float64{job.SpeechBand: -74.9}
	m := analyze.Measured{Rate: cardRate, Readings: []analyze.Reading{{Name: analyze.ToneLevel}, {Name: analyze.NoiseLevel, Value: -85},
		{Name: analyze.SINAD, Value: 60}, {Name: analyze.HumLevel, Value: -60}}}
	r := analyze.Result{Setup: job.Setup{Kind: job.KindDistortion, Reading: job.Reading{Card: q}}, Rows: []analyze.Used{{Measured: m}},
		Figures: []analyze.Reading{{Name: job.QuantitySINAD, Unit: "dB", Value: 60, Low: 59.9, High: 60.1},
			{Name: analyze.THDN, Unit: "%", Value: 0.1, Low: 0.0999, High: 0.1001}}}
	off := 1 + math.Pow(10, -15/20.0)
	w := WidenResult(r)
	assert.Less(t, w.Get(job.QuantitySINAD).Low, 60-20*math.Log10(off))
	assert.Greater(t, w.Get(analyze.THDN).High, 0.1*off)
}

// The budget of a figure is its interval: scatter as root-sum-square, then the
// card's noise on its side as it is.
func TestBudgetWithACardIsTheInterval(t *testing.T) {
	const set, card = 0.01, 0.005
	q := qualified(unit.DBFS(card*card*3100/(cardRate/2)), 0.05)
	r := distortionTest(t, set, card, 1, q)
	r.Setup.Reading.CardDB = 0.1
	r.Setup.Uncertainty = []job.Contribution{{What: "cable", DB: 0.2}}
	wide := WidenResult(r)
	f, own := wide.Get(job.QuantitySINAD), r.Get(job.QuantitySINAD)
	assert.Equal(t, own, wide.OwnOf(job.QuantitySINAD))
	b, ok := BudgetOf(wide, f)
	require.True(t, ok)
	up, down := b.Beyond()
	assert.InDelta(t, 10*math.Log10(1.25), up, 0.15, "a card 6 dB below the set's noise takes 0.97 dB")
	assert.Zero(t, down)
	assert.InDelta(t, f.High-f.Low, 2*b.Expanded()+up, 0.02)
	assert.Less(t, f.Value-f.Low, own.Value-own.Low+0.2, "the lower end hardly moves: the card only makes it worse")

	d := wide.Get(job.QuantityDistortion)
	b, ok = BudgetOf(wide, d)
	require.True(t, ok)
	require.NotEmpty(t, b.OfCard())
	assert.Equal(t, budget.UShape, b.OfCard()[0].Distribution)
	assert.InDelta(t, 0.05/math.Sqrt2, b.OfCard()[0].Standard(), 1e-12, "in percent, as the figure")
	assert.GreaterOrEqual(t, d.Low, 0.0)

	plain := distortionTest(t, set, card, 1, nil)
	assert.Equal(t, plain, WidenResult(plain), "nothing known, nothing changed")
}

// A pass stays a pass and a doubtful fail becomes undecided: the card can only have
// made the figure worse.
func TestCardDoesNotFailASet(t *testing.T) {
	const set, card = 0.01, 0.01
	q := qualified(unit.DBFS(card*card*3100/(cardRate/2)), 0)
	r := distortionTest(t, set, card, 3, q)
	for limit, want := range map[float64]string{20: Pass, 26: Undecided, 33: Fail} {
		r.Setup.Limits = []job.Limit{{Quantity: job.QuantitySINAD, Bound: job.AtLeast, Value: limit, Unit: "dB"}}
		j := JudgeResult(WidenResult(r), nil)
		require.Len(t, j, 1)
		assert.Equal(t, want, j[0].Verdict.Outcome, "%g dB of %v", limit, j[0].Figure)
	}
}

// Volts known to +-3 %, rectangular: a power to +-6 %.
func TestVoltsReachThePower(t *testing.T) {
	r := analyze.Result{Setup: job.Setup{Kind: job.KindAudioPower, Reading: job.Reading{VoltsPercent: 3}},
		Figures: []analyze.Reading{{Name: job.QuantityAudioPower, Unit: "W", Value: 2, Low: 1.99, High: 2.01}, {Name: job.FigureOutputAtTen, Unit: "V", Value: 4, Low: 4, High: 4}}}
	wide := WidenResult(r)
	half := 1.96 * 2 * 0.06 / math.Sqrt(3)
	assert.InDelta(t, math.Hypot(half, 0.01), wide.Get(job.QuantityAudioPower).High-2, 1e-9)
	assert.InDelta(t, 1.96*4*0.03/math.Sqrt(3), 4-wide.Get(job.FigureOutputAtTen).Low, 1e-9)
}

func TestWhatOneCardAddsCancels(t *testing.T) {
	c := analyze.Reading{Name: "x", Unit: "dB", Value: 3, Low: 2.9, High: 3.1}
	of := func(up, both float64) budget.Budget {
		one, two := budget.OneSided(cardNoise, up, +1), budget.UShaped(cardDistortion, both)
		return budget.Budget{ofCard(one), ofCard(two)}
	}
	same := WidenChange(c, of(0.5, 0.3), of(0.5, 0.3), true)
	assert.Equal(t, c, same)
	less := WidenChange(c, of(0.5, 0.3), of(0.2, 0.3), true)
	assert.InDeltaSlice(t, []float64{2.9 - 0.3, 3.1}, []float64{less.Low, less.High}, 1e-12, "before, more of it may lie above what was read")
	two := WidenChange(c, of(0.5, 0), of(0.2, 0), false)
	assert.InDeltaSlice(t, []float64{2.9 - 0.5, 3.1 + 0.2}, []float64{two.Low, two.High}, 1e-12)
	two = WidenChange(c, of(0, 0.3), of(0, 0.4), false)
	assert.InDelta(t, math.Hypot(0.1, 1.96*0.5/math.Sqrt2), two.High-3, 1e-12)
}

// A point: the card's noise to its lower end as it is, what was typed through the
// slope, ±0.5 dB of SINAD over 2 dB a dB.
func TestCardInThePoint(t *testing.T) {
	r := analyze.Result{Setup: job.Setup{Kind: job.KindSensitivity, Reading: job.Reading{CardDB: 0.5}}}.WithPoint(analyze.Point{Status: analyze.Found, Level: unit.DBm(-117), Low: -117.5, High: -116.5, Slope: 2,
		Shares: []analyze.Share{{Name: analyze.ShareReadings, DB: 0.5 / 1.96}}})
	wide := WidenResult(r)
	assert.InDelta(t, math.Hypot(0.5, 1.96*0.25/math.Sqrt(3)), wide.Point.High+117, 1e-5) // 1.95996 is the quantile, 1.96 the trade's
	b, ok := BudgetOf(wide, wide.Figures[0])
	require.True(t, ok)
	assert.InDelta(t, wide.Point.High+117, b.Expanded(), 1e-5)
	assert.Equal(t, "dB of reading", b[len(b)-1].Unit)
}

// A set whose every reading lies below the criterion fails a limit at once, unless
// the card's noise may be what keeps it there.
func TestCardKeepsASetFromFailingBeyondTheLevels(t *testing.T) {
	lim := job.Limit{Quantity: job.QuantitySensitivity, Bound: job.AtMost, Value: -113, Unit: "dBm"}
	nd := math.Pow(10, -1.1)
	row := analyze.Used{Level: unit.DBm(-110), Worth: []analyze.Reading{analyze.Reading{Name: analyze.SINAD, Unit: "dB", Value: 11.3, Low: 11.1, High: 11.5}},
		Measured: analyze.Measured{Rate: cardRate, Readings: []analyze.Reading{{Name: analyze.ToneLevel}, {Name: analyze.NoiseLevel, Value: -11}, {Name: analyze.SINAD, Value: 10 * math.Log10((1+nd)/nd)}}}}
	r := analyze.Result{Setup: job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}}},
		Rows: []analyze.Used{row}}.WithPoint(analyze.Point{Status: analyze.AboveRange})
	assert.Equal(t, Fail, judgedBy(r, lim, job.Guarded).Outcome)
	r.Setup.Reading.Card = qualified(-11-6, 0)
	assert.Equal(t, Undecided, judgedBy(r, lim, job.Guarded).Outcome, "the card takes up to 1.1 dB")
	r.Setup.Reading.Card = qualified(-11-20, 0)
	assert.Equal(t, Fail, judgedBy(r, lim, job.Guarded).Outcome)
}
