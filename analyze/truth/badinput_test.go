package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// lasting is a tone that is there from one time to another only.
func lasting(hz, from, to float64) func(t float64) float64 {
	return func(t float64) float64 {
		if t < from || t >= to {
			return 0
		}
		return 0.3 * math.Sin(2*math.Pi*hz*t)
	}
}

const badRMS = 0.01 // of the noise beside, white up to 3.9 kHz

// heardIn is white noise with sounds in closed form.
func heardIn(seed uint64, seconds float64, sounds ...func(t float64) float64) signal {
	s := silence(16000, seconds)
	s.add(times(badRMS, noise(seeded(seed), 16000, len(s.x), between(50, 3900))))
	return s.each(func(i int, v float64) float64 {
		for _, f := range sounds {
			v += f(float64(i) / 16000)
		}
		return v
	})
}

// What a technician records by mistake gives a figure that is right, or its reason.
// SINAD is 10 log10((S+N+D)/(N+D)) of the powers put in; another tone is distortion.
func TestBadInput(t *testing.T) {
	left := badRMS * badRMS * 3100 / 3850 // of the noise, in the speech band
	alone := db((0.045 + left) / left)
	for name, c := range map[string]struct {
		s     signal
		sinad float64 // NaN: none
		why   analyze.Why
		from  float64
		to    float64
		other float64
	}{
		"silence":              {s: silence(16000, 3), sinad: math.NaN(), why: "silence", to: 3},
		"a moment of silence":  {s: silence(16000, 0.2), sinad: math.NaN(), why: "silence", to: 0.2},
		"direct current":       {s: silence(16000, 2).offset(0.1), sinad: math.NaN(), why: "silence", to: 2},
		"one second":           {s: heardIn(1, 1, lasting(1000.2, 0, 9)), sinad: alone, to: 1},
		"noise only":           {s: heardIn(2, 4), sinad: math.NaN(), why: "tone-missing", to: 4},
		"a second of noise":    {s: heardIn(3, 1), sinad: math.NaN(), why: "tone-missing", to: 1},
		"tone begins inside":   {s: heardIn(4, 4, lasting(1000.2, 1, 9)), sinad: alone, from: 1, to: 4},
		"tone ends inside":     {s: heardIn(5, 4, lasting(1000.2, 0, 3)), sinad: alone, to: 3},
		"tone ends at once":    {s: heardIn(6, 4, lasting(1000.2, 0, 0.3)), sinad: math.NaN(), why: "tone-missing", to: 4},
		"two tones":            {s: heardIn(7, 4, lasting(1000.2, 0, 9), lasting(1400, 0, 9)), sinad: db((0.09 + left) / (0.045 + left)), to: 4},
		"two tones elsewhere":  {s: heardIn(8, 4, lasting(400, 0, 9), lasting(1700, 0, 9)), sinad: math.NaN(), why: "tone-missing", to: 4, other: 400},
		"another tone":         {s: heardIn(9, 4, lasting(400, 0, 9)), sinad: math.NaN(), why: "tone-missing", to: 4, other: 400},
		"another that stops":   {s: heardIn(10, 5, lasting(400, 0, 2)), sinad: math.NaN(), why: "tone-missing", to: 5, other: 400},
		"another that begins":  {s: heardIn(11, 5, lasting(2100.4, 3.2, 9)), sinad: math.NaN(), why: "tone-missing", to: 5, other: 2100.4},
		"another, then silent": {s: silence(16000, 4).tone(0.3, 400, 0).each(func(i int, v float64) float64 { return v * float64(1-i/32000) }), sinad: math.NaN(), why: "tone-missing", to: 2, other: 400},
	} {
		m := c.s.measure(t, job.Reading{})
		got := m.Get(analyze.SINAD)
		if math.IsNaN(c.sinad) {
			assert.Equal(t, c.why, got.Why, name)
		} else {
			require.True(t, got.OK(), "%s: %s", name, got.Why)
			assert.InDelta(t, c.sinad, got.Value, 0.4, name)
			assert.InDelta(t, 1000.2, value(t, m, analyze.ToneFrequency), 0.05, name)
		}
		assert.Equal(t, name == "two tones", has(m, string(capture.OtherTone)), "%s: the tone beside the test tone, and no other, is told", name)
		assert.InDelta(t, c.from, m.From, 0.1, name)
		assert.InDelta(t, c.to, m.To, 0.1, name)
		if c.other != 1700 && name == "two tones elsewhere" { // either may be named
			assert.Contains(t, []float64{400, 1700}, math.Round(m.OtherTone), name)
			continue
		}
		assert.InDelta(t, c.other, m.OtherTone, 0.3, name)
	}
}

// A tone without any noise has its level, its frequency, and no SINAD that 16 bits
// could not hold: their noise, q^2/12 over the whole band, is 98.1 dB under full scale.
func TestToneOnly(t *testing.T) {
	m, err := reading.Measure(sixteen(16000, to16(silence(16000, 3).tone(0.5, 1000.3, 0.2).x)), job.Reading{})
	require.NoError(t, err)
	assert.InDelta(t, 1000.3, value(t, m, analyze.ToneFrequency), 1e-4)
	assert.InDelta(t, db(0.25), value(t, m, analyze.ToneLevel), 1e-3)
	if s := m.Get(analyze.SINAD); s.OK() {
		assert.InDelta(t, 98.1-6.02+db(8000/3100.), s.Value, 3)
	}
	m = silence(16000, 3).tone(0.5, 1000.3, 0.2).measure(t, job.Reading{})
	assert.InDelta(t, 1000.3, value(t, m, analyze.ToneFrequency), 1e-4)
}
