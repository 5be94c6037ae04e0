package truth_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/hint"
	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports/sentence"
)

// noisy is 1.2 s at 8 kHz of white noise of an RMS, with sines of given frequency and peak.
func noisy(seed uint64, rms float64, sines ...[2]float64) capture.Recording {
	r := rand.New(rand.NewPCG(seed, 3))
	x := make([]float64, 9600)
	for i := range x {
		x[i] = rms * r.NormFloat64()
		for _, s := range sines {
			x[i] += s[1] * math.Sin(2*math.Pi*s[0]*float64(i)/8000)
		}
	}
	return capture.FromSamples("a.wav", 8000, x)
}

// The SINAD at opening is not known where nothing muted was recorded before, and
// below a coarse step it may have been as low as none at all.
func TestSINADAtOpeningIsNoMoreThanIsKnown(t *testing.T) {
	open := func(seed uint64) capture.Recording { return noisy(seed, 0.03, [2]float64{1000, 0.2}) }
	s := setup(job.KindSquelchLevels, dbm(-120), dbm(-110))
	r, err := kind.SquelchLevels(s, []capture.Recording{open(1), open(2)})
	require.NoError(t, err)
	assert.False(t, r.Get(job.QuantityOpening).OK())
	assert.Contains(t, r.Get(job.QuantityOpening).Why, "record weaker ones")

	r, err = kind.SquelchLevels(s, []capture.Recording{noisy(1, 1e-4), open(2)})
	require.NoError(t, err)
	at := r.Get(job.QuantityOpening)
	require.True(t, at.OK(), at.Why)
	assert.Zero(t, at.Low)
	assert.Greater(t, at.Value, 12.0)

	s.Takes[0] = dbm(-111)
	r, err = kind.SquelchLevels(s, []capture.Recording{noisy(1, 1e-4), open(2)})
	require.NoError(t, err)
	near := r.Get(job.QuantityOpening)
	assert.InDelta(t, r.Rows[1].Measured.Get(analyze.SINAD).Low-3, near.Low, 1e-9)

	// The muted one is as quiet as the bench, and that is in order.
	floor := analyze.Result{Figures: []analyze.Reading{{Name: analyze.NoiseLevel, Value: -80}}}
	tests := []hint.Tested{{Kind: job.KindBenchFloor, Result: &floor}, {Kind: job.KindSquelchLevels, Result: &r}}
	hint.OfBench(tests)
	assert.Empty(t, r.Warnings)
}

// Audio that rises as the signal does is a set without AGC, not a squelch that opens.
func TestAudioThatFollowsTheSignalIsNoOpening(t *testing.T) {
	s := setup(job.KindSquelchLevels, dbm(-108), dbm(-96), dbm(-84))
	rs := []capture.Recording{noisy(1, 1e-4, [2]float64{1000, 0.02}), noisy(2, 1e-4, [2]float64{1000, 0.08}), noisy(3, 1e-4, [2]float64{1000, 0.32})}
	r, err := kind.SquelchLevels(s, rs)
	require.NoError(t, err)
	assert.Contains(t, r.Why, "step the level more finely")
	assert.Empty(t, r.Figures)

	// A mute that leaks the tone is 40 dB down.
	r, err = kind.SquelchLevels(s, []capture.Recording{noisy(1, 1e-5, [2]float64{1000, 0.003}), noisy(2, 0.01, [2]float64{1000, 0.3}), rs[2]})
	require.NoError(t, err)
	require.Empty(t, r.Why)
	assert.InDelta(t, -96, r.Get(job.FigureOpensAt).Value, 1e-9)
}

// A leak at another tone, and a recording in which none could be heard, are no
// sign that nothing leaks.
func TestLeakageIsNotTakenForNone(t *testing.T) {
	for _, x := range []capture.Recording{noisy(1, 0.01, [2]float64{400, 0.1}), noisy(1, 0)} {
		r, err := kind.Leakage(setup(job.KindLeakage, job.Take{File: "a.wav"}), []capture.Recording{x})
		require.NoError(t, err)
		assert.NotEmpty(t, r.Why)
		assert.Empty(t, r.Answer)
	}
	r, err := kind.Leakage(setup(job.KindLeakage, job.Take{File: "a.wav"}), []capture.Recording{noisy(1, 0.1)})
	require.NoError(t, err)
	assert.Empty(t, r.Why)
	assert.NotEmpty(t, r.Answer)
}

// A wanted signal that was left strong makes the rejection too small; the SINAD
// without much interference shows it.
func TestDegradationOfTooStrongASignalIsToldApart(t *testing.T) {
	s := setup(job.KindDegradation)
	s.Level, s.LevelTyped, s.Settings = unit.DBm(-90), "-90 dBm", map[string]string{job.SettingEnd: job.EndDown}
	run := func(noises ...float64) analyze.Result {
		s.Takes = nil
		var rs []capture.Recording
		for i, n := range noises {
			s.Takes = append(s.Takes, dbm(-60+3*float64(i)))
			rs = append(rs, noisy(uint64(i), n, [2]float64{1000, 0.2}))
		}
		r, err := kind.Degradation(s, rs)
		require.NoError(t, err)
		require.True(t, r.Get(job.FigureRejection).OK(), r.Get(job.FigureRejection).Why)
		return r
	}
	strong := run(0.003, 0.01, 0.05, 0.12)
	require.NotEmpty(t, strong.Warnings)
	assert.Equal(t, capture.WantedTooStrong, strong.Warnings[0].Code)
	assert.Empty(t, run(0.03, 0.05, 0.08, 0.12).Warnings)
	assert.Contains(t, sentence.Of(run(0.06, 0.09, 0.12).Says[0]), "below 12 dB even at the weakest")
}

// What makes a deviation by substitution wrong without showing in either
// recording is refused or told.
func TestSubstitutionThatCannotHold(t *testing.T) {
	s := transmitSetup(job.KindDeviation, map[string]string{job.SettingReferenceDeviation: "1.5 kHz"}, job.Take{File: "reference.wav"})
	tx, ref := noisy(1, 1e-3, [2]float64{400, 0.2}, [2]float64{88.5, 0.05}), noisy(2, 1e-3, [2]float64{1000, 0.2})
	of := func(tone float64) analyze.Result {
		s.Reading.ToneHz = tone
		r, err := kind.Deviation(s, []capture.Recording{tx, ref})
		require.NoError(t, err)
		return r
	}
	assert.Contains(t, of(400).Why, "as its reference")
	s.Takes[0].File, s.Settings[job.SettingReferenceTone] = "tx.wav", "1 kHz"
	r := of(400)
	require.Empty(t, r.Why)
	require.Len(t, r.Warnings, 1)
	assert.Equal(t, capture.OtherTone, r.Warnings[0].Code)
	assert.Contains(t, sentence.Of(r.Says[len(r.Says)-1]), "sub-audible tone of 88.5 Hz")
	s.Settings[job.SettingMonitorCurve] = analyze.MonitorFlat
	assert.Empty(t, of(400).Warnings)

	s.Reading.ToneHz = 1000
	same, err := kind.Deviation(s, []capture.Recording{ref, ref})
	require.NoError(t, err)
	assert.Contains(t, same.Why, "the same samples")

	l := transmitSetup(job.KindLimiter, map[string]string{job.SettingReferenceDeviation: "1.5 kHz", job.SettingRatedDeviation: "2.5 kHz"},
		job.Take{File: "a", At: 0, AtTyped: "1 mV"}, job.Take{File: "b", At: 10, AtTyped: "10 dB"})
	r, err = kind.Limiter(l, []capture.Recording{ref, ref, ref})
	require.NoError(t, err)
	assert.Contains(t, r.Why, "write all alike")
}

// Readings of a scope in two units are no pair: 900 mV over 0.1 V would read 100 %.
func TestScopeReadingsShareAUnit(t *testing.T) {
	of := func(high, low string) analyze.Result {
		s := job.Setup{Kind: job.KindModulationDepth, Mode: job.AM, Stanza: job.Stanza{Settings: map[string]string{job.SettingHighest: high, job.SettingLowest: low}}}
		r, err := kind.ModulationDepth(s, nil)
		require.NoError(t, err)
		return r
	}
	for _, pair := range [][2]string{{"900 mV", "100 mV"}, {"4.5 divs", "0.5 div"}, {"0.9V", "0.1 V"}, {"9", "1"}} {
		assert.InDelta(t, 80, of(pair[0], pair[1]).Get(job.QuantityModulation).Value, 1e-9, pair)
	}
	assert.InDelta(t, 100, of("3 V", "0").Get(job.QuantityModulation).Value, 1e-9)
	assert.Contains(t, of("900 mV", "0.1 V").Why, "in the same unit")
}

// Even harmonics that grow with the distance from a middle have their least there,
// within the interval; those that are noise have none.
func TestEvenHarmonicsAreLeastWithinTheInterval(t *testing.T) {
	of := func(middle, slope float64, seed uint64) analyze.Reading {
		s := setup(job.KindCentring)
		var rs []capture.Recording
		for i, at := range []float64{-3000, -2000, -1000, 0, 0, 1000, 2000, 3000} {
			s.Takes = append(s.Takes, job.Take{At: at, AtTyped: "x"})
			rs = append(rs, noisy(seed*100+uint64(i), 0.01, [2]float64{1000, 0.2}, [2]float64{2000, slope * math.Abs(at-middle) / 1000}))
		}
		r, err := kind.Centring(s, rs)
		require.NoError(t, err)
		return r.Get(job.FigureEvenCentre)
	}
	inside := 0
	for seed := range uint64(10) {
		e := of(300, 0.01, seed)
		require.True(t, e.OK(), e.Why)
		require.True(t, e.HasInterval())
		if e.Low <= 300 && 300 <= e.High {
			inside++
		}
		assert.False(t, of(300, 0, seed).OK())
	}
	assert.GreaterOrEqual(t, inside, 8)
}
