package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/kind"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
)

// toneInNoise measures a tone in noise of known power inside the speech band: SINAD follows from
// the tone's power and the noise's as built.
func toneInNoise(t *testing.T, seconds, amplitude float64, shape func(at float64) float64, noiseRMS, whistleHz float64) (analyze.Measured, float64) {
	t.Helper()
	s := silence(48000, seconds)
	n := noise(seeded(3), 48000, len(s.x), between(300, 3400))
	power := 0.0
	for i := range n {
		n[i] *= noiseRMS
		power += n[i] * n[i] / float64(len(n))
		at := float64(i) / 48000
		s.x[i] = amplitude*math.Sin(2*math.Pi*shape(at)) + n[i]
		if whistleHz > 0 {
			s.x[i] += 0.5 * math.Sin(2*math.Pi*whistleHz*at)
		}
	}
	m, err := reading.Measure(capture.FromSamples("x.wav", 48000, s.x), job.Reading{})
	require.NoError(t, err)
	tone := amplitude * amplitude / 2
	return m, 10 * math.Log10((tone+power)/power)
}

// An audio oscillator that drifts evenly, by a part in ten thousand over the
// recording, is no noise of the set (closed form: the noise as built).
func TestDriftOfTheToneIsFollowed(t *testing.T) {
	for _, drift := range []float64{1e-5, 1e-4} {
		m, truth := toneInNoise(t, 10, 0.3, func(at float64) float64 { return 1000*at + 1000*drift/10*at*at/2 }, 0.003, 0)
		got := m.Get(analyze.SINAD)
		require.True(t, got.OK(), "drift %g: %s", drift, got.Why)
		assert.InDelta(t, truth, got.Value, 0.2, "drift %g", drift)
	}
}

// A strong whistle far above the band must not leak into it (closed form: the
// noise as built), wherever it stands.
func TestStrongLinesAboveDoNotLeak(t *testing.T) {
	for _, hz := range []float64{5000.3, 10100.7, 12000.3, 15625.3, 19000.1} {
		m, truth := toneInNoise(t, 5, 0.05, func(at float64) float64 { return 1000.3 * at }, 6e-5, hz)
		got := m.Get(analyze.SINAD)
		require.True(t, got.OK(), "%g Hz: %s", hz, got.Why)
		assert.InDelta(t, truth, got.Value, 0.05, "%g Hz", hz)
	}
}

// rowAt is a measured row of known SINAD; a NaN stands for no tone.
func rowAt(dbm, sinad, half float64, file string) analyze.Used {
	m := analyze.Measured{}
	r := analyze.Reading{Name: analyze.SINAD, Unit: "dB", Value: sinad, Low: sinad - half, High: sinad + half}
	switch {
	case math.IsNaN(sinad):
		r = analyze.Reading{Name: analyze.SINAD, Unit: "dB", Why: "tone-missing"}
	case half == 0:
		r.Low, r.High, r.NoInterval = 0, 0, "too short"
	}
	m.Readings = []analyze.Reading{r}
	return analyze.Used{Take: job.Take{Level: unit.DBm(dbm), File: file}, Measured: m}
}

func TestPointNeverRunsAcrossAMissingTone(t *testing.T) {
	twelve := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}}}
	none := math.NaN()
	for name, c := range map[string]struct {
		rows []analyze.Used
		want string
	}{
		"beside the crossing": {[]analyze.Used{rowAt(-127, 4, .1, "a"), rowAt(-121, none, 0, "b"), rowAt(-118, 13, .1, "c")}, analyze.TooFew},
		"above the crossing":  {[]analyze.Used{rowAt(-121, 8, .1, "a"), rowAt(-118, 13, .1, "b"), rowAt(-110, none, 0, "c")}, analyze.Multiple},
		"far below":           {[]analyze.Used{rowAt(-130, none, 0, "a"), rowAt(-121, 8, .1, "b"), rowAt(-118, 14, .1, "c")}, analyze.Found},
		"everywhere":          {[]analyze.Used{rowAt(-121, none, 0, "a"), rowAt(-118, none, 0, "b")}, analyze.AboveRange},
	} {
		r, err := kind.SensitivityOf(twelve, c.rows)
		require.NoError(t, err)
		assert.Equal(t, c.want, r.Point.Status, "%s: %s", name, r.Point.Why)
	}
}

func TestAReadingWithoutIntervalDoesNotOutweighOthers(t *testing.T) {
	twelve := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}}}
	rows := []analyze.Used{rowAt(-122, 8, .2, "a"), rowAt(-118, 12, .2, "b"), rowAt(-114, 16, .2, "c")}
	with, err := kind.SensitivityOf(twelve, append(rows, rowAt(-118, 15, 0, "short")))
	require.NoError(t, err)
	assert.InDelta(t, -118, with.Point.Level.DB, 0.01)
	assert.Empty(t, with.Point.NoInterval)
	require.NotEmpty(t, with.Warnings)
	assert.Equal(t, note.Of("too-short", "short"), with.Warnings[0].Says)
}

func TestRepeatsThatDifferAreNamed(t *testing.T) {
	twelve := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}}}
	r, err := kind.SensitivityOf(twelve, []analyze.Used{rowAt(-122, 4, .2, "a"), rowAt(-122, 10, .2, "b"), rowAt(-114, 16, .2, "c")})
	require.NoError(t, err)
	require.Len(t, r.Warnings, 1)
	assert.Equal(t, capture.RepeatsDiffer, r.Warnings[0].Code)
	assert.Equal(t, []any{"a", "b", note.DB(6)}, r.Warnings[0].Says.Parts)
}

// CTCSS tones of the usual list (testdata/reference/ctcss_tones.csv) that lie on
// or beside a mains multiple are no hum when they stand alone.
func TestSubAudibleToneIsNotHum(t *testing.T) {
	for _, hz := range []float64{67.0, 88.5, 150.0, 179.9, 203.5, 241.8, 250.3} {
		s := silence(48000, 5).tone(0.2, 1000.3, 0).tone(0.07, hz, 1)
		s.add(times(0.002, noise(seeded(4), 48000, len(s.x), between(20, 20000))))
		m, err := reading.Measure(capture.FromSamples("x.wav", 48000, s.x), job.Reading{})
		require.NoError(t, err)
		assert.InDelta(t, hz, m.SubAudibleTone, 0.01, "%g Hz", hz)
		assert.False(t, m.Get(analyze.HumLevel).OK(), "%g Hz is called hum", hz)
	}
}

// A tone on a mains multiple takes that line out of the hum, and says so.
func TestToneOnMainsIsSaid(t *testing.T) {
	s := silence(48000, 5).tone(0.2, 400, 0).tone(0.01, 50, 1).tone(0.02, 100, 2)
	s.add(times(0.001, noise(seeded(4), 48000, len(s.x), between(20, 20000))))
	m, err := reading.Measure(capture.FromSamples("x.wav", 48000, s.x), job.Reading{ToneHz: 400})
	require.NoError(t, err)
	assert.Equal(t, 400.0, m.ToneOnMains)
	assert.Len(t, m.HumLines, 2)
}

// A strong line beside the place of a harmonic is no distortion: the tone here has
// none (closed form).
func TestLineBesideAHarmonicIsNoDistortion(t *testing.T) {
	for _, hz := range []float64{2000.9, 3001.5, 8000.3} {
		s := silence(48000, 5).tone(0.2, 1000.2, 0).tone(0.1, hz, 1)
		s.add(times(0.0005, noise(seeded(7), 48000, len(s.x), between(20, 20000))))
		m, err := reading.Measure(capture.FromSamples("x.wav", 48000, s.x), job.Reading{})
		require.NoError(t, err)
		assert.Less(t, m.Get(analyze.THD).Value, 0.05, "%g Hz", hz)
	}
}

// Hum whose frequency wanders within a recording cannot be told from noise, so
// neither noise level nor S/N is given.
func TestWanderingHumWithholdsTheNoise(t *testing.T) {
	s := silence(48000, 5).tone(0.3, 1000.3, 0)
	hum := make([]float64, len(s.x))
	for i := range hum {
		at := float64(i) / 48000
		for order := 1.0; order <= 12; order++ {
			hum[i] += 0.02 * math.Cos(2*math.Pi*order*(50*at+0.05*at*at/10)+order*order)
		}
	}
	s.add(hum)
	s.add(times(0.0005, noise(seeded(8), 48000, len(s.x), between(300, 3400))))
	m, err := reading.Measure(capture.FromSamples("x.wav", 48000, s.x), job.Reading{})
	require.NoError(t, err)
	assert.Contains(t, m.Get(analyze.NoiseLevel).Why, "wander")
	assert.False(t, m.Get(analyze.SNR).OK())
}

// Stepped test tones on multiples of the mains are no hum.
func TestSteppedTonesAreNoHum(t *testing.T) {
	var x []float64
	for _, hz := range []float64{300, 400, 500, 630, 800, 1000, 1250, 1600} {
		for i := range 4800 {
			x = append(x, 0.1*math.Sin(2*math.Pi*hz*float64(i)/8000)+1e-4*math.Sin(2*math.Pi*100*float64(len(x))/8000))
		}
	}
	m, err := reading.Measure(capture.FromSamples("tones.wav", 8000, x), job.Reading{})
	require.NoError(t, err)
	if hum := m.Get(analyze.HumLevel); hum.OK() {
		assert.Less(t, hum.Value, -50.0)
	}
}
