package card

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/change"
	"hisspoint/analyze/response"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
	"hisspoint/reports/sentence"
)

// carded is a card with so much noise in the speech band, and 50 Hz of hum.
func carded(noise float64) *job.Qualified {
	hum := -70.0
	return &job.Qualified{Name: "line in", At: "2026-11-01", Card: job.Card{RateHz: 8000, HumDBFS: &hum, DistortionPC: 0.02,
		NoiseDBFS: map[string]float64{job.SpeechBand: noise, job.Wide: noise + 2}, RestDBFS: map[string]float64{job.SpeechBand: noise}}}
}

func lg(power float64) float64 { return 10 * math.Log10(power) }

// readAs is a recording of a tone of power 1 with so much noise of the set's, as it
// reads with the card's power added.
func readAs(set, card float64) analyze.Measured {
	nd := set + card
	return analyze.Measured{Rate: 8000, Readings: []analyze.Reading{
		{Name: analyze.ToneLevel, Unit: "dBFS"}, {Name: analyze.NoiseLevel, Unit: "dBFS", Value: lg(nd)},
		{Name: analyze.SINAD, Unit: "dB", Value: lg((1 + nd) / nd)}, {Name: analyze.SNR, Unit: "dB", Value: -lg(nd)},
	}}
}

// Closed form: independent powers add. A card 10 dB below the set's own noise
// raises it by 10 log10(1.1) = 0.414 dB, and S/N reads as much too low.
func TestCardAddsItsPower(t *testing.T) {
	for _, set := range []float64{1e-4, 0.01, 0.06, 0.3} {
		for _, below := range []float64{0, 3, 10, 20} {
			card := set * math.Pow(10, -below/10)
			e := On(carded(lg(card)), readAs(set, card))
			assert.True(t, e.Known)
			assert.InDelta(t, lg((set+card)/set), e.Noise, 1e-9)
			truth := lg((1 + set) / set)
			assert.InDelta(t, truth-readAs(set, card).Get(analyze.SINAD).Value, e.SINAD, 1e-6, "SINAD is (S+ND)/ND, so it moves less than the noise")
		}
	}
	assert.InDelta(t, 0.4139, On(carded(-50), readAs(1e-4, 1e-5)).Noise, 0.0001)
	assert.InDelta(t, 0.41, On(carded(-50), readAs(1e-4, 1e-5)).SINAD, 0.005)
}

func TestCardOfOtherRatesAndFiltersIsNotKnown(t *testing.T) {
	m := readAs(0.01, 0.001)
	assert.Equal(t, Effect{}, On(nil, m))
	m.Rate = 48000
	assert.Equal(t, Effect{}, On(carded(-30), m))
	w, differs := OtherRate(carded(-30), m)
	assert.True(t, differs)
	assert.Equal(t, note.Of("card-other-rate", carded(-30).Label(), 8000, m.Origin.File, 48000), w.Says)
	m.Rate, m.Filter = 8000, job.Filter{Name: job.Psophometric}
	assert.Equal(t, Effect{}, On(carded(-30), m))
	// a band of one's own holds no more than the named one around it
	m.Filter = job.Filter{Name: job.Band, Low: 500, High: 2000}
	assert.InDelta(t, lg(1.1), On(carded(-30), m).Noise, 0.001)
	m.Filter.Low = 50
	assert.Greater(t, On(carded(-30), m).Noise, lg(1.1))
}

// Lines of one frequency add as voltages: a tenth of a line takes 0.915 dB from it
// at most, or adds 0.828.
func TestCardsLinesErrBothWays(t *testing.T) {
	m := readAs(1e-4, 0)
	m.Readings = append(m.Readings, analyze.Reading{Name: analyze.HumLevel, Unit: "dBFS", Value: -50}, analyze.Reading{Name: analyze.THD, Unit: "%", Value: 0.5})
	e := On(carded(-90), m)
	assert.InDelta(t, -20*math.Log10(0.9), e.Hum, 1e-9)
	assert.Equal(t, 0.02, e.Distortion)
	assert.InDelta(t, -lg(1-2*0.005*0.0002/1e-4), e.SINADByTHD, 1e-6)
}

// Hum is stated unfiltered. Only what of it passes the filter is among what is left
// beside a tone there: with a card whose 50 Hz the speech band keeps out, none.
func TestCardsHumCountsAsFarAsItPassesTheFilter(t *testing.T) {
	m := readAs(1e-7, 0)
	m.Readings = append(m.Readings, analyze.Reading{Name: analyze.HumLevel, Unit: "dBFS", Value: -50})
	q := carded(-90)
	assert.Zero(t, On(q, m).RestByHum, "the card has no more than noise in the band")
	q.Card.RestDBFS[job.SpeechBand] = lg(1e-9 + 1e-10) // 1e-10 is hum
	assert.InDelta(t, -lg(1-2*math.Sqrt(1e-10*1e-7)/1e-7), On(q, m).RestByHum, 1e-6, "the set's is all that is left at most")
	q.Card.RestDBFS = nil
	assert.InDelta(t, 10, On(q, m).RestByHum, 1e-9, "not said: all of it may pass, and nothing can be told")
}

func TestCardSaysWhereItLimits(t *testing.T) {
	says := func(q *job.Qualified, m analyze.Measured) string {
		var all []string
		for _, w := range Limits(q, m) {
			assert.Equal(t, capture.CardLimits, w.Code)
			all = append(all, sentence.Of(w.Says))
		}
		return strings.Join(all, "\n")
	}
	assert.Empty(t, says(carded(-60), readAs(1e-5, 0)), "10 dB apart")
	assert.Equal(t, "the sound card's own noise (-53.0 dBFS when it was qualified) is only 3.0 dB below the noise that is read: "+
		"the noise reads too high by up to 3.0 dB, S/N too low by up to 3.0 dB and SINAD too low by up to 3.0 dB; raise the set's audio at the card's input", says(carded(-53), readAs(1e-5, 0)))
	assert.Contains(t, says(carded(-40), readAs(1e-5, 0)), "is all of the noise that is read: the noise reads too high by any amount")

	m := readAs(1e-5, 0)
	m.Readings = append(m.Readings, analyze.Reading{Name: analyze.HumLevel, Unit: "dBFS", Value: -66}, analyze.Reading{Name: analyze.THD, Unit: "%", Value: 0.05})
	text := says(carded(-90), m)
	assert.Contains(t, text, "own hum (-70.0 dBFS when it was qualified) is only 4.0 dB below the hum that is read: it adds to it or takes from it")
	assert.Contains(t, text, "own distortion (0.02 %) is only 8.0 dB below the distortion that is read (0.05 %): the set's own lies between 0.03 and 0.07 %")
}

// Where all that is read may be the card's no bound is named.
func TestWhatCannotBeToldHasNoBound(t *testing.T) {
	m := readAs(1e-5, 0)
	m.Readings = append(m.Readings, analyze.Reading{Name: analyze.HumLevel, Unit: "dBFS", Value: -71})
	ws := Limits(carded(-90), m)
	require.Len(t, ws, 1)
	assert.Contains(t, sentence.Of(ws[0].Says), "takes from it, by any amount")
	ws = OfTest(seriesOn(carded(0), analyze.SINAD))
	require.Len(t, ws, 1)
	assert.Contains(t, sentence.Of(ws[0].Says), "more sensitive by any amount")
}

// seriesOn is a series whose SINAD rises by 2 dB a dB, with a card in it.
func seriesOn(q *job.Qualified, quantity string) analyze.Result {
	r := analyze.Result{Setup: job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: quantity, Value: 12}}, Reading: job.Reading{Card: q}}}
	for _, dbm := range []float64{-119, -118, -117, -116} {
		nd := math.Pow(10, -(12+2*(dbm+117.5))/10)
		r.Rows = append(r.Rows, analyze.Used{Level: unit.DBm(dbm), Measured: readAs(nd, nd/10), Worth: []analyze.Reading{analyze.Reading{Name: quantity, Unit: "dB", Value: 1}}})
	}
	return r.WithPoint(analyze.Point{Status: analyze.Found, Level: unit.DBm(-117.5), Slope: 2, Low: -118, High: -117})
}

// At every level the card has a tenth of the set's noise; half of what that takes
// from SINAD comes through a slope of 2 dB a dB.
func TestCardOnAPoint(t *testing.T) {
	nd := math.Pow(10, -1.2)
	r := seriesOn(carded(lg(nd/10)), analyze.SINAD)
	want := (lg((1+nd)/nd) - lg((1+1.1*nd)/(1.1*nd))) / 2
	assert.InDelta(t, want, OnPoint(r), 0.01, "straight between two levels")
	require.Empty(t, OfTest(r), "0.39 dB of SINAD: more than 10 dB apart")

	r = seriesOn(carded(lg(nd/3)), analyze.SINAD)
	ws := OfTest(r)
	require.Len(t, ws, 1)
	assert.Contains(t, sentence.Of(ws[0].Says), "may be more sensitive by up to")

	p := r.Point.WithHigh("card_noise", 0.3)
	assert.Equal(t, [2]float64{-118.3, -117}, [2]float64{p.Low, p.High}, "the lower end only")
	c, ok := change.Between(analyze.Point{Status: analyze.Found, Level: unit.DBm(-110), Shares: []analyze.Share{{Name: "x", DB: 0}}, ReadsHigh: []analyze.Share{{Name: "card_noise", DB: 0.5}}}, p.With("x", 1e-12), false)
	require.True(t, ok)
	assert.InDeltaSlice(t, []float64{7.5 - 0.5, 7.5 + 0.3}, []float64{c.Low, c.High}, 1e-9)
}

func TestCardOnQuietingAndSignalNoise(t *testing.T) {
	nd := math.Pow(10, -1.2)
	q := carded(lg(nd / 10))
	r := seriesOn(q, job.QuantityQuieting)
	r.Rows = append(r.Rows, analyze.Used{Level: unit.Level{Scale: unit.Off}, Measured: readAs(nd*9, nd/10)})
	assert.InDelta(t, (lg(1.1)-lg(9.1/9))/2, OnPoint(r), 0.02, "what hiss and noise share cancels")

	r = seriesOn(q, job.QuantitySNN)
	off := readAs(nd, nd/10)
	off.Readings = off.Readings[1:2]
	for i := range r.Rows {
		r.Rows = append(r.Rows, analyze.Used{Level: r.Rows[i].Level, Take: job.Take{State: job.StateCarrier}, Measured: off, Worth: []analyze.Reading{analyze.None("", "", "without modulation")}})
	}
	assert.InDelta(t, lg(1.1)/2, OnPoint(r), 0.05)
}

// What is known of the card's response reaches the intervals of a response on the
// side on which it lies, and cancels between two made with that card.
func TestCardsResponseInAResponse(t *testing.T) {
	const rate = 8000
	tones := []float64{300, 500, 1000, 2000, 3000}
	var rs []capture.Recording
	for _, hz := range tones {
		x := make([]float64, rate/2)
		for i := range x {
			x[i] = 0.3 * math.Sin(2*math.Pi*hz*float64(i)/rate)
		}
		rs = append(rs, capture.FromSamples("tone.wav", rate, x))
	}
	q := carded(-80)
	q.Card.Response = []job.CardTone{{Hz: 300, DB: 0.3}, {Hz: 1000}, {Hz: 3000, DB: -0.4}}
	with, err := response.Measure(rs, analyze.ResponseHow{Kind: analyze.ResponseStepped, Card: q, TonesHz: tones})
	require.NoError(t, err)
	require.True(t, with.OK(), with.Why)
	first, last := with.Points[0], with.Points[len(with.Points)-1]
	assert.InDelta(t, -0.3, first.DevLow-first.Deviation, 0.01, "it reads too high by 0.3 dB at most")
	assert.InDelta(t, 0, first.DevHigh-first.Deviation, 0.01)
	assert.InDelta(t, 0.4, last.DevHigh-last.Deviation, 0.01)
	assert.Less(t, response.WithoutCard(with).Points[0].Deviation-response.WithoutCard(with).Points[0].DevLow, 0.01)
	d := response.Compare(with, with)
	assert.InDelta(t, 0, d.Points[0].Low, 0.01, "one card cancels")
	other := with
	other.How.Card = &job.Qualified{Name: "another", At: "2026-11-02", Card: q.Card}
	d = response.Compare(other, with)
	assert.InDeltaSlice(t, []float64{-0.3, 0.3}, []float64{d.Points[0].Low, d.Points[0].High}, 0.02, "two do not")
	ws := OfResponse(with)
	require.Len(t, ws, 1)
	assert.Contains(t, sentence.Of(ws[0].Says), "(-0.40 dB at 3000 Hz against 1 kHz)")
}
