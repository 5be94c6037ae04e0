package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// A pure tone of any frequency, level, phase and length at any rate: level,
// frequency, offset and peak as they were made, and nothing beside it. The bars:
// 1 ppm, 0.001 dB, 0.01 %, and a floor that moves 60 dB SINAD by less than 0.05 dB.
func TestPureTones(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		rate := rapid.SampledFrom(rates).Draw(rt, "rate")
		hz := rapid.Float64Range(300, 3400).Draw(rt, "frequency")
		a := math.Pow(10, rapid.Float64Range(-3, -0.05).Draw(rt, "log amplitude"))
		phase := rapid.Float64Range(0, 6.28).Draw(rt, "phase")
		dc := rapid.Float64Range(-0.1, 0.1).Draw(rt, "offset")
		s := silence(rate, rapid.Float64Range(0.2, 0.7).Draw(rt, "seconds")).tone(a, hz, phase).offset(dc)
		asked := hz * rapid.Float64Range(0.95, 1.05).Draw(rt, "expected over true")
		m := s.measure(t, job.Reading{ToneHz: asked})
		assert.InEpsilon(rt, hz, value(t, m, analyze.ToneFrequency), 1e-6)
		assert.InDelta(rt, 20*math.Log10(a), value(t, m, analyze.ToneLevel), 1e-3)
		assert.InDelta(rt, dc, value(t, m, analyze.DCOffset), 1e-4*a)
		mean := 0.0
		for _, v := range s.x {
			mean += v / float64(len(s.x))
		}
		// The level is the RMS of the very samples, whatever part of a cycle they end in.
		ac := append([]float64(nil), s.x...)
		for i := range ac {
			ac[i] -= dc
		}
		assert.InDelta(rt, db(2*power(ac)), value(t, m, analyze.Level), 1e-3)
		largest := 0.0
		for _, v := range s.x {
			largest = math.Max(largest, math.Abs(v))
		}
		assert.InDelta(rt, 20*math.Log10(largest), value(t, m, analyze.Peak), 1e-9)
		if r := m.Get(analyze.SINAD); r.OK() {
			assert.Greater(rt, r.Value, 80.0)
		} else {
			assert.Equal(rt, analyze.Why("nothing is left beside the tone"), r.Why)
		}
		if r := m.Get(analyze.THD); r.OK() {
			assert.Less(rt, r.Value, 0.01)
		}
	})
}

// A recording times a gain: levels move by it in dB, ratios stay.
func TestGainScalesExactly(t *testing.T) {
	base := silence(16000, 1.3).tone(0.3, 1003.3, 1).tone(0.01, 2006.6, 2).tone(0.02, 50, 0).offset(0.01)
	base.add(times(0.03, noise(seeded(4), 16000, len(base.x), between(100, 7000))))
	want := base.measure(t, job.Reading{})
	for _, gain := range []float64{1e-4, 0.01, 0.5, 2, 100} {
		s := silence(16000, 1.3).add(base.x).each(func(_ int, x float64) float64 { return x * gain })
		m := s.measure(t, job.Reading{})
		require.Len(t, m.Readings, len(want.Readings))
		for i, r := range m.Readings {
			w := want.Readings[i]
			shift, scale := 0.0, 1.0
			switch r.Unit {
			case "dBFS":
				shift = 20 * math.Log10(gain)
			case "FS":
				scale = gain
			}
			assert.Equal(t, w.Bounded, r.Bounded, "%s at gain %g", r.Name, gain)
			if r.Bounded { // no value, but what it is at most
				w.Value, r.Value = w.High, r.High
			}
			near := 1e-7 * math.Max(1e-3, math.Abs(w.Value*scale))
			assert.InDelta(t, w.Value*scale+shift, r.Value, near, "%s at gain %g", r.Name, gain)
			assert.Equal(t, w.HasInterval(), r.HasInterval(), "%s at gain %g", r.Name, gain)
			if r.HasInterval() {
				assert.InDelta(t, w.Low*scale+shift, r.Low, 1e-5*math.Max(1e-3, math.Abs(w.Low*scale)), "%s at gain %g", r.Name, gain)
			}
		}
	}
}

// Volts and watts: 20 log10 against the stated full scale, V^2/R.
func TestCalibratedLevels(t *testing.T) {
	s := silence(48000, 1).tone(0.5, 1000, 0)
	m := s.measure(t, job.Reading{FullScaleVolts: 2, LoadOhms: 8})
	// Half of a full scale of 2 V RMS is 1 V, into 8 ohm 1/8 W.
	assert.InDelta(t, 1, value(t, m, analyze.LevelVolts), 1e-9)
	assert.InDelta(t, 0.125, value(t, m, analyze.Power), 1e-9)
}

// A recording longer than one transform gives what its parts give.
func TestLongRecordingIsOnePiece(t *testing.T) {
	const rate, n = 48000, 1<<20 + 200000
	s := signal{rate: rate, x: make([]float64, n)}
	s.tone(0.4, 1000.21, 0).tone(0.004, 2000.42, 0)
	in := times(0.02, noise(seeded(9), rate, n, between(400, 3000)))
	s.add(in)
	m := s.measure(t, job.Reading{})
	assert.InEpsilon(t, 1000.21, value(t, m, analyze.ToneFrequency), 1e-6)
	assert.InDelta(t, db(0.16), value(t, m, analyze.ToneLevel), 0.001)
	p := power(in)
	assert.InDelta(t, db((0.08+8e-6+p)/(8e-6+p)), value(t, m, analyze.SINAD), 0.005)
	assert.InDelta(t, 1, value(t, m, analyze.THD), 0.01)
}

func TestSilenceAndStubs(t *testing.T) {
	for _, n := range []int{800, 801, 997, 1023, 8000} {
		for name, s := range map[string]signal{
			"zeros": {rate: 8000, x: make([]float64, n)},
			"dc":    signal{rate: 8000, x: make([]float64, n)}.offset(0.3),
			"tone":  signal{rate: 8000, x: make([]float64, n)}.tone(0.5, 1000, 0),
		} {
			m := s.measure(t, job.Reading{}) // no crash, no NaN
			if name != "tone" {
				assert.False(t, m.Get(analyze.SINAD).OK(), "%s %d", name, n)
				assert.False(t, m.Get(analyze.ToneLevel).OK(), "%s %d", name, n)
			}
		}
	}
}

func TestTheWrongRateIsRefused(t *testing.T) {
	r := capture.FromSamples("low.wav", 8000, make([]float64, 8000))
	_, err := reading.Measure(r, job.Reading{Filter: job.Filter{Name: job.Band, Low: 3700, High: 3900}})
	assert.ErrorContains(t, err, "low.wav")
	_, err = reading.Measure(r, job.Reading{ToneHz: 3900})
	assert.ErrorContains(t, err, "low.wav")
}
