package truth_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
)

// said is a row whose SINAD is known to plus or minus 0.2 dB.
func said(level unit.Level, sinad float64) analyze.Used {
	return analyze.Used{Take: job.Take{Level: level, File: level.String()}, Measured: analyze.Measured{Readings: []analyze.Reading{
		{Name: analyze.SINAD, Unit: "dB", Value: sinad, Low: sinad - 0.2, High: sinad + 0.2},
		{Name: analyze.ToneFrequency, Unit: "Hz", Value: 1000, Low: 999.9, High: 1000.1},
	}}}
}

func toneless(level unit.Level) analyze.Used {
	return analyze.Used{Take: job.Take{Level: level, File: level.String()}, Measured: analyze.Measured{Readings: []analyze.Reading{
		{Name: analyze.SINAD, Unit: "dB", Why: "tone-missing"},
	}}}
}

var crit12 = job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}

func pointOf(t *testing.T, rows ...analyze.Used) analyze.Point {
	t.Helper()
	r, err := kind.SensitivityOf(job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: crit12}}, rows)
	require.NoError(t, err)
	return *r.Point
}

func TestStatusesOfThePoint(t *testing.T) {
	l := unit.DBm
	for name, c := range map[string]struct {
		rows   []analyze.Used
		status string
		at     float64 // dBm
	}{
		"found":                      {[]analyze.Used{said(l(-120), 9), said(l(-118), 15)}, analyze.Found, -119},
		"any order":                  {[]analyze.Used{said(l(-118), 15), said(l(-120), 9)}, analyze.Found, -119},
		"repeats":                    {[]analyze.Used{said(l(-120), 8.9), said(l(-118), 15), said(l(-120), 9.1), said(l(-118), 15)}, analyze.Found, -119},
		"tone gone lower down":       {[]analyze.Used{toneless(l(-124)), said(l(-120), 9), said(l(-118), 15)}, analyze.Found, -119},
		"all meet it":                {[]analyze.Used{said(l(-118), 13), said(l(-116), 17)}, analyze.BelowRange, -118},
		"none meets it":              {[]analyze.Used{said(l(-122), 3), said(l(-120), 9)}, analyze.AboveRange, -120},
		"no tone anywhere":           {[]analyze.Used{toneless(l(-122)), toneless(l(-120))}, analyze.AboveRange, -120},
		"twice":                      {[]analyze.Used{said(l(-122), 6), said(l(-120), 15), said(l(-118), 8), said(l(-116), 20)}, analyze.Multiple, 0},
		"one level":                  {[]analyze.Used{said(l(-118), 12)}, analyze.TooFew, 0},
		"one level, twice":           {[]analyze.Used{said(l(-118), 11), said(l(-118), 13)}, analyze.TooFew, 0},
		"leap from no tone":          {[]analyze.Used{toneless(l(-122)), said(l(-118), 15)}, analyze.TooFew, 0},
		"generator off only":         {[]analyze.Used{toneless(unit.Level{Scale: unit.Off})}, analyze.TooFew, 0},
		"off is no level of its own": {[]analyze.Used{toneless(unit.Level{Scale: unit.Off}), said(l(-118), 15)}, analyze.TooFew, 0},
	} {
		p := pointOf(t, c.rows...)
		assert.Equal(t, c.status, p.Status, name)
		if c.at != 0 {
			assert.InDelta(t, c.at, p.Level.DB, 1e-6, name)
		}
		assert.Equal(t, p.Status != analyze.Found, p.Why != "", name)
	}
}

func TestRelativeLevels(t *testing.T) {
	rel := func(db float64) unit.Level { return unit.Level{Scale: unit.Relative, DB: db} }
	r, err := kind.SensitivityOf(job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: crit12}, Path: job.RFPath{PadDB: 10}}, []analyze.Used{said(rel(0), 15), said(rel(-2), 9)})
	require.NoError(t, err)
	assert.Equal(t, "dB", r.Get(job.QuantitySensitivity).Unit)
	assert.Equal(t, unit.Relative, r.Point.Level.Scale)
	assert.InDelta(t, -1, r.Point.Level.DB, 1e-9, "a pad is no part of a relative level")
	for _, s := range r.Point.Shares {
		assert.Contains(t, []string{analyze.ShareReadings, analyze.ShareBetween}, s.Name, "nor is the generator's uncertainty")
	}

	_, err = kind.SensitivityOf(job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: crit12}}, []analyze.Used{said(rel(0), 15), said(unit.DBm(-120), 9)})
	assert.ErrorContains(t, err, "an absolute one")
}

// A generator known to +-1 dB, taken as rectangular, adds 1/sqrt 3 = 0.577 dB
// (ETSI TR 100 028), the pad likewise; all join as a root sum of squares, and 95 %
// is 1.96 of it (the factor of that report).
func TestContributions(t *testing.T) {
	one := 1.0
	test := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: crit12}, Path: job.RFPath{PadDB: 10, PadUncertaintyDB: 0.3, LevelUncertainty: &one}}
	r, err := kind.SensitivityOf(test, []analyze.Used{said(unit.DBm(-110), 9), said(unit.DBm(-108), 15)})
	require.NoError(t, err)
	p := *r.Point
	assert.InDelta(t, -119, p.Level.DB, 1e-6, "the pad is taken off")
	got := map[string]float64{}
	sum := 0.0
	for _, s := range p.Shares {
		got[s.Name] = s.DB
		sum += s.DB * s.DB
	}
	assert.InDelta(t, 0.57735, got["generator"], 1e-5)
	assert.InDelta(t, 0.17321, got["pad"], 1e-5)
	assert.Positive(t, got["readings"])
	assert.InDelta(t, 1.96*math.Sqrt(sum), (p.High-p.Low)/2, 1e-4)
	assert.Empty(t, p.NotStated)

	p = pointOf(t, said(unit.DBm(-120), 9), said(unit.DBm(-118), 15))
	assert.Equal(t, []string{"generator"}, p.NotStated)
}

// A reading that is surer upwards than downwards leaves a point that is surer
// downwards than upwards: less SINAD at a level means a higher point.
func TestLopsidedReadings(t *testing.T) {
	low, high := said(unit.DBm(-119.2), 11.4), said(unit.DBm(-118.8), 12.6)
	for _, r := range []*analyze.Used{&low, &high} {
		r.Measured.Readings[0].Low -= 1
	}
	p := pointOf(t, low, high)
	assert.Equal(t, analyze.Found, p.Status)
	assert.Greater(t, p.High-p.Level.DB, 1.25*(p.Level.DB-p.Low))
	assert.Positive(t, p.Level.DB-p.Low)
}

func TestTonesOfOneSeriesMustAgree(t *testing.T) {
	a, b := said(unit.DBm(-120), 9), said(unit.DBm(-118), 15)
	b.Measured.Readings[1].Value = 400
	_, err := kind.SensitivityOf(job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: crit12}}, []analyze.Used{a, b})
	assert.ErrorContains(t, err, "a tone of")
	b.Measured.Readings[1].Value = 1005
	_, err = kind.SensitivityOf(job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: crit12}}, []analyze.Used{a, b})
	assert.NoError(t, err)
	_, err = kind.Sensitivity(job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: crit12, Takes: make([]job.Take, 2)}}, nil)
	assert.ErrorContains(t, err, "give each its file")
}

// hiss is Gaussian noise of that level against the open hiss, in dB.
func hiss(r *rand.Rand, quieter float64) capture.Recording {
	return capture.FromSamples("", 8000, times(0.1*math.Pow(10, -quieter/20), noise(r, 8000, 40000, between(300, 3400))))
}

// Noise that falls by 20 dB from open hiss where it was made to.
func TestQuietingOfKnownNoise(t *testing.T) {
	r := seeded(20)
	test := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantityQuieting, Value: 20, Unit: "dB"}}}
	var rs []capture.Recording
	for _, c := range []struct{ level, quieter float64 }{{-124, 8}, {-120, 16}, {-118, 20.5}, {-116, 25}, {-119, 18.25}} {
		test.Takes = append(test.Takes, job.Take{Level: unit.DBm(c.level)})
		rs = append(rs, hiss(r, c.quieter))
	}
	_, err := kind.Sensitivity(test, rs)
	assert.ErrorContains(t, err, "generator off")
	for range 2 {
		test.Takes = append(test.Takes, job.Take{Level: unit.Level{Scale: unit.Off}})
		rs = append(rs, hiss(r, 0))
	}
	res, err := kind.Sensitivity(test, rs)
	require.NoError(t, err)
	require.Equal(t, analyze.Found, res.Point.Status, res.Point.Why)
	assert.InDelta(t, -118.222, res.Point.Level.DB, 0.08) // 18.25 dB at -119, then 2.25 dB a dB
	assert.Less(t, res.Point.Low, -118.222)
	assert.Greater(t, res.Point.High, -118.222)
	require.NotNil(t, res.Hiss())
}

// Well above threshold the noise of an FM receiver falls by 1 dB for each dB of
// carrier (Rice 1963: density proportional to f^2 / CNR), and so quieting rises.
func TestQuietingRisesWithTheCarrier(t *testing.T) {
	b := benchOf(invented(), 41)
	b.Card.NoiseDBFS = -110
	set := invented()
	test := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantityQuieting, Value: 30, Unit: "dB"}}}
	take := func(l unit.Level, s simulate.Segment) capture.Recording {
		test.Takes = append(test.Takes, job.Take{Level: l})
		s.Seconds, s.Unmodulated = 10, true
		return b.WithSeed(uint64(len(test.Takes))).Recording("", s)
	}
	rs := []capture.Recording{take(unit.Level{Scale: unit.Off}, simulate.Segment{Off: true})}
	for _, cnr := range []float64{16, 20, 24} {
		l := set.LevelForCNR(cnr)
		rs = append(rs, take(unit.DBm(l), simulate.Segment{LevelDBm: l}))
	}
	res, err := kind.Sensitivity(test, rs)
	require.NoError(t, err)
	var got []float64
	for _, row := range res.Rows {
		if row.Level.Scale != unit.Off {
			got = append(got, res.WorthOf(row).Value)
		}
	}
	require.Len(t, got, 3)
	assert.InDelta(t, 4, got[1]-got[0], 0.15)
	assert.InDelta(t, 4, got[2]-got[1], 0.15)
}

// The point of a simulated set against what its long runs say, flat and through
// the psophometric filter at 20 dB: within three standard errors of both. The truth is
// Bench.Sensitivity's of 3 x 1000 s and 3 x 40 s, which HISSPOINT_LONG=1 computes again.
func TestPointOfASimulatedSet(t *testing.T) {
	b := benchOf(simulate.Healthy27MHzFM(), 31)
	table := reference(t, "psophometric_weighting.csv")
	var hz, db []float64
	for _, row := range table {
		hz, db = append(hz, number(t, row, "freq_hz")), append(db, number(t, row, "rel_weight_db"))
	}
	o41 := func(f float64) float64 {
		for i := 1; i < len(hz); i++ {
			if f < hz[i] {
				k := math.Log(math.Max(f, 1)/hz[i-1]) / math.Log(hz[i]/hz[i-1])
				return math.Pow(10, (db[i-1]+k*(db[i]-db[i-1]))/20)
			}
		}
		return 0
	}
	for name, c := range map[string]struct {
		criterion float64
		filter    job.Filter
		gain      simulate.Filter
		truth     simulate.Known
	}{
		"12 dB, speech band":  {12, job.Filter{}, simulate.Band(300, 3400), simulate.Known{Value: -118.077, StdErr: 0.009}},
		"20 dB, psophometric": {20, job.Filter{Name: job.Psophometric}, o41, simulate.Known{Value: -113.210, StdErr: 0.013}},
	} {
		truth := c.truth
		if long() {
			again, err := b.Sensitivity(c.criterion, c.gain, 200)
			require.NoError(t, err)
			assert.InDelta(t, truth.Value, again.Value, 4*math.Hypot(truth.StdErr, again.StdErr), name)
		}
		test := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: c.criterion, Unit: "dB"}, Deviation: 1200}, Reading: job.Reading{Deviation: 1200, Filter: c.filter}}
		var rs []capture.Recording
		for i := range 6 {
			l := math.Round(truth.Value) - 4.7 + 1.8*float64(i)
			test.Takes = append(test.Takes, job.Take{Level: unit.DBm(l)})
			rs = append(rs, capture.FromSamples("", intervalRate, b.WithSeed(uint64(500+i)).Take(l, 5)))
		}
		res, err := kind.Sensitivity(test, rs)
		require.NoError(t, err)
		p := res.Point
		require.Equal(t, analyze.Found, p.Status, name)
		t.Logf("%s: %.3f (%.3f to %.3f) dBm, truth %.3f +-%.3f", name, p.Level.DB, p.Low, p.High, truth.Value, truth.StdErr)
		assert.InDelta(t, truth.Value, p.Level.DB, 3*math.Hypot(truth.StdErr, (p.High-p.Low)/2/1.96), name)
		assert.Less(t, p.High-p.Low, 1.0)
	}
}
