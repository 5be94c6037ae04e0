package truth_test

import (
	"fmt"
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
	"hisspoint/reports/sentence"
)

// drifting is a tone of amplitude 0.25 whose phase is turns cycles, in band noise that
// gives the stated SINAD, and that SINAD with the noise as built.
func drifting(rate int, seconds, sinad float64, seed uint64, turns func(at float64) float64) (x []float64, truth float64) {
	const amplitude = 0.25
	n := int(seconds * float64(rate))
	x = noise(seeded(seed), rate, n, between(300, 3400))
	rms := amplitude / math.Sqrt2 / math.Sqrt(math.Pow(10, sinad/10)-1)
	power := 0.0
	for i := range x {
		x[i] *= rms
		power += x[i] * x[i] / float64(n)
		x[i] += amplitude * math.Sin(2*math.Pi*turns(float64(i)/float64(rate)))
	}
	return x, 10 * math.Log10(amplitude*amplitude/2/power+1)
}

func measured(t *testing.T, rate int, x []float64, mode string) analyze.Measured {
	t.Helper()
	m, err := reading.Measure(capture.FromSamples("x.wav", rate, x), job.Reading{Mode: mode})
	require.NoError(t, err)
	return m
}

// A tone that drifts is a tone, in one chunk and over several: SINAD is that of the noise
// as built to 0.1 dB, the drift is what was built (closed form), and only where a
// generator's oscillator drifts by itself a warning says so.
func TestToneThatDrifts(t *testing.T) {
	for _, c := range []struct {
		mode          string
		rate          int
		seconds       float64
		sinad, hz, by float64 // by Hz/s
		bend          float64 // Hz/s^2
		warned        bool
	}{
		{job.SSB, 8000, 5, 3, 1000, 3, 0, false},
		{job.SSB, 16000, 5, 30, 1000, 0.15, 0, false},
		{job.SSB, 8000, 15, 12, 1020, -3, 0, false},
		{job.SSB, 8000, 40, 20, 900, 2, 0, false}, // longer than a polynomial holds
		{job.FM, 8000, 5, 45, 1000, 0.3, 0.06, true},
		{job.FM, 48000, 15, 12, 1000, -0.3, 0, true},
		{job.FM, 8000, 5, 20, 1000.4, 0, 0, false},
	} {
		name := fmt.Sprintf("%+v", c)
		x, truth := drifting(c.rate, c.seconds, c.sinad, 7, func(at float64) float64 { return c.hz*at + c.by*at*at/2 + c.bend*at*at*at/6 })
		m := measured(t, c.rate, x, c.mode)
		got := m.Get(analyze.SINAD)
		require.True(t, got.OK(), "%s: %s", name, got.Why)
		assert.InDelta(t, truth, got.Value, 0.1, name)
		drift := m.Get(analyze.ToneDrift)
		require.True(t, drift.HasInterval(), name)
		slope := c.by + c.bend*c.seconds/2
		assert.InDelta(t, slope, drift.Value, math.Max(0.02*math.Abs(slope), 1.5*(drift.High-drift.Low)/2), name)
		assert.Equal(t, c.warned, has(m, "tone-drifts"), "%s: %v", name, codes(m))
		assert.False(t, has(m, "dropped-samples") || has(m, "unsteady") || has(m, "tone-wavers"), "%s: %v", name, codes(m))
	}
}

// A sample lost or doubled costs nothing but a warning with place and number: the figure
// is that of the noise as built.
func TestSlipsAreTold(t *testing.T) {
	const rate = 48000
	for _, c := range []struct {
		sinad float64
		lost  []int // at 1.2 s and then every 0.9 s
		says  string
	}{
		{30, []int{1}, "1 sample was lost"},
		{40, []int{2, -1, 1}, "3 samples were lost and 1 sample was doubled"},
		{12, []int{-5}, "5 samples were doubled"},
	} {
		from := 0
		var at []float64
		shift := make([]int, 5*rate)
		for i := range shift {
			if k := len(at); k < len(c.lost) && i == int((1.2+0.9*float64(k))*rate) {
				from += c.lost[k]
				at = append(at, float64(i)/rate)
			}
			shift[i] = from
		}
		x, truth := drifting(rate, 5, c.sinad, 3, func(at float64) float64 {
			return 1000.3 * (at + float64(shift[int(math.Round(at*rate))])/rate)
		})
		m := measured(t, rate, x, job.FM)
		got := m.Get(analyze.SINAD)
		require.True(t, got.HasInterval(), got.Why)
		assert.InDelta(t, truth, got.Value, 0.1, "%v", c.lost)
		require.Equal(t, []string{"dropped-samples"}, codes(m), "%v", c.lost)
		assert.Contains(t, sentence.Of(m.Warnings[0].Says), c.says)
		require.Len(t, m.Warnings[0].AtS, len(at))
		for i := range at {
			assert.InDelta(t, at[i], m.Warnings[0].AtS[i], 0.01)
		}
	}
}

// A clock that slips six times a second leaves a bound, and says so: the sound is no worse.
func TestManySlipsLeaveABound(t *testing.T) {
	x, truth := drifting(48000, 5, 30, 5, func(at float64) float64 { return 1000 * (at + math.Floor(at*6)/48000*3) })
	m := measured(t, 48000, x, job.FM)
	got := m.Get(analyze.SINAD)
	require.True(t, got.OK(), got.Why)
	assert.Contains(t, got.NoInterval, "at least")
	assert.Less(t, got.Value, truth+0.2)
	assert.True(t, has(m, "dropped-samples"), "%v", codes(m))
}

// Flutter of the phase puts m^2/2 of the tone's power beside it (Bessel's J1 for a small
// index), which stays in noise and distortion: told with what it costs, and no slip.
func TestFlutterIsNoise(t *testing.T) {
	const index = 0.05
	flutters := func(at float64) float64 { return 1000*at + index/2/math.Pi*math.Sin(2*math.Pi*5*at) }
	x, truth := drifting(16000, 5, 30, 4, flutters)
	m := measured(t, 16000, x, job.FM)
	nd := 1 / (math.Pow(10, truth/10) - 1)
	with := nd + index*index/2
	assert.InDelta(t, 10*math.Log10(1/with+1), m.Get(analyze.SINAD).Value, 0.1)
	require.Equal(t, []string{"tone-wavers"}, codes(m))
	require.Equal(t, "phase-wavers", m.Warnings[0].Says.Sentence)
	assert.InDelta(t, 10*math.Log10(with/nd), float64(m.Warnings[0].Says.Parts[0].(note.DB)), 0.05)
}

// A series whose tone drifts has its point where the noise as built puts it: 12 dB SINAD
// stands at the level recorded with 12 dB.
func TestSensitivityOfADriftingTone(t *testing.T) {
	s := job.Setup{Kind: job.KindSensitivity, Mode: job.SSB, LevelKind: unit.PD}
	s.Stanza = job.Stanza{Criterion: crit12, Settings: map[string]string{}}
	var rs []capture.Recording
	for i, sinad := range []float64{6, 9, 12, 15, 18} {
		x, _ := drifting(8000, 5, sinad, uint64(i+1), func(at float64) float64 { return 1010*at + 0.8*at*at/2 })
		s.Takes = append(s.Takes, dbm(-124+3*float64(i)))
		rs = append(rs, capture.FromSamples("x.wav", 8000, x))
	}
	r, err := kind.Sensitivity(s, rs)
	require.NoError(t, err)
	require.NotNil(t, r.Point)
	require.Equal(t, analyze.Found, r.Point.Status, r.Point.Why)
	assert.InDelta(t, -118, r.Point.Level.DB, 0.2)
}
