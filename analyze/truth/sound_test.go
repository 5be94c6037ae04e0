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

// spoiled is one fault put into a clean recording, with the warnings it must give
// and where, in seconds.
type spoiled struct {
	name   string
	spoil  func(x []float64) []float64
	want   []string
	at     []float64
	within float64
}

const spoiledRate = 48000

func from(seconds float64) int { return int(seconds * spoiledRate) }

func each(x []float64, f func(i int, v float64) float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = f(i, v)
	}
	return out
}

// to16 rounds as a 16-bit file does.
func to16(x []float64) []float64 {
	return each(x, func(_ int, v float64) float64 {
		return math.Max(-32768, math.Min(32767, math.RoundToEven(v*32768))) / 32768
	})
}

func lose(at float64, n int) func(x []float64) []float64 {
	return func(x []float64) []float64 {
		return append(append([]float64{}, x[:from(at)]...), x[from(at)+n:]...)
	}
}

func double(at float64, n int) func(x []float64) []float64 {
	return func(x []float64) []float64 {
		return append(append([]float64{}, x[:from(at)]...), x[from(at)-n:]...)
	}
}

func gain(db float64) float64 { return math.Pow(10, db/20) }

var spoils = []spoiled{
	{name: "clean", spoil: func(x []float64) []float64 { return x }, want: nil, at: nil, within: 0},
	{name: "clipped", spoil: func(x []float64) []float64 { return each(x, func(_ int, v float64) float64 { return 5 * v }) }, want: []string{"clipped"}, at: nil, within: 0},
	{name: "clipped once", spoil: func(x []float64) []float64 {
		return each(x, func(i int, v float64) float64 {
			if i >= from(1.3) && i < from(1.3)+48 {
				return 5 * v
			}
			return v
		})
	}, want: []string{"clipped"}, at: []float64{1.3}, within: 0.002},
	{name: "clipped, then quieter", spoil: func(x []float64) []float64 {
		return each(x, func(_ int, v float64) float64 { return 0.4 * math.Max(-1, math.Min(1, 5*v)) })
	}, want: []string{"clipped-below-full-scale"}, at: nil, within: 0},
	{name: "one side flat", spoil: func(x []float64) []float64 {
		return each(x, func(_ int, v float64) float64 { return math.Min(0.2, v) })
	}, want: []string{"clipped-below-full-scale"}, at: nil, within: 0},
	{name: "offset", spoil: func(x []float64) []float64 { return each(x, func(_ int, v float64) float64 { return v + 0.03 }) }, want: []string{"dc-offset"}, at: nil, within: 0},
	{name: "64 samples lost", spoil: lose(1.5, 64), want: []string{"dropped-samples"}, at: []float64{1.5}, within: 0.03},
	{name: "441 samples lost", spoil: lose(1.5, 441), want: []string{"dropped-samples"}, at: []float64{1.5}, within: 0.03},
	{name: "512 samples lost", spoil: lose(0.9, 512), want: []string{"dropped-samples"}, at: []float64{0.9}, within: 0.03},
	{name: "1024 samples lost", spoil: lose(2.2, 1024), want: []string{"dropped-samples"}, at: []float64{2.2}, within: 0.03},
	{name: "64 samples twice", spoil: double(1.5, 64), want: []string{"dropped-samples"}, at: []float64{1.5}, within: 0.03},
	{name: "256 samples twice", spoil: double(2.5, 256), want: []string{"dropped-samples"}, at: []float64{2.5}, within: 0.03},
	{name: "zeros in place of a buffer", spoil: func(x []float64) []float64 {
		return each(x, func(i int, v float64) float64 {
			if i >= from(2) && i < from(2)+256 {
				return 0
			}
			return v
		})
	}, want: []string{"zero-run"}, at: []float64{2}, within: 0.001},
	{name: "gain step", spoil: func(x []float64) []float64 {
		return each(x, func(i int, v float64) float64 {
			if i >= from(1) {
				return v * gain(1.5)
			}
			return v
		})
	}, want: []string{"gain-changed", "unsteady"}, at: []float64{1}, within: 0.05},
	{name: "gain creeps", spoil: func(x []float64) []float64 {
		return each(x, func(i int, v float64) float64 { return v * gain(2*float64(i)/float64(len(x))) })
	}, want: []string{"gain-changed", "unsteady"}, at: nil, within: 0},
	{name: "low", spoil: func(x []float64) []float64 { return each(x, func(_ int, v float64) float64 { return v * 0.003 }) }, want: []string{"low-level"}, at: nil, within: 0},
	{name: "8 bits in 16", spoil: func(x []float64) []float64 {
		return each(x, func(_ int, v float64) float64 { return math.RoundToEven(v*128) / 128 })
	}, want: []string{"coarse-steps"}, at: nil, within: 0},
	{name: "bytes swapped", spoil: func(x []float64) []float64 {
		return each(to16(x), func(_ int, v float64) float64 {
			u := uint16(int16(v * 32768))
			return float64(int16(u<<8|u>>8)) / 32768
		})
	}, want: []string{"bytes-swapped"}, at: nil, within: 0},
	{name: "knock at the start", spoil: func(x []float64) []float64 {
		r := seeded(9)
		return each(x, func(i int, v float64) float64 {
			if i < from(0.4) {
				return v + 0.18*r.NormFloat64()
			}
			return v
		})
	}, want: []string{"unsteady"}, at: []float64{0.4}, within: 0.05},
	{name: "thump at the end", spoil: func(x []float64) []float64 {
		n := len(x)
		return each(x, func(i int, v float64) float64 {
			if k := i - (n - from(0.3)); k > 0 {
				return v + 0.5*math.Sin(2*math.Pi*22*float64(k)/spoiledRate)
			}
			return v
		})
	}, want: []string{"unsteady"}, at: []float64{3.7}, within: 0.05},
}

// Each fault gives its warning, and no other, on a clean tone and on one in much noise.
func TestSpoiledRecordings(t *testing.T) {
	for _, noiseRMS := range []float64{0.002, 0.05} {
		for i, s := range spoils {
			if !long() && noiseRMS > 0.01 && i%3 != 0 {
				continue
			}
			tone := silence(spoiledRate, 4).tone(0.25, 1000.02, 0.3)
			tone.add(times(noiseRMS, noise(seeded(21), spoiledRate, len(tone.x), between(100, 3600))))
			if s.name == "low" && noiseRMS > 0.01 {
				continue
			}
			m, err := reading.Measure(sixteen(spoiledRate, to16(s.spoil(tone.x))), job.Reading{})
			require.NoError(t, err)
			healthy(t, m)
			assert.ElementsMatch(t, s.want, codes(m), "%s, noise %g: %v", s.name, noiseRMS, m.Warnings)
			for _, w := range m.Warnings {
				if len(s.at) == 0 || w.Code == "gain-changed" {
					continue
				}
				require.NotEmpty(t, w.AtS, s.name)
				assert.InDelta(t, s.at[0], w.AtS[len(w.AtS)-1], s.within, "%s: %v", s.name, w)
			}
		}
	}
}

// 44.1 kHz written over 48 kHz sound puts 1000 Hz at 918.75 Hz and the other way
// round at 1088.4 Hz; a card's error of 200 ppm, or a generator of its own mind, do not.
func TestRateSuspect(t *testing.T) {
	for _, c := range []struct {
		rate    int
		hz      float64
		suspect bool
	}{
		{44100, 918.75, true}, {44100, 918.75 * 1.0002, true}, {48000, 1088.435, true}, {48000, 1088.435 * 0.9998, true},
		{48000, 918.75, false}, {44100, 1088.435, false}, {48000, 1000.2, false}, {44100, 999.8, false}, {44100, 912, false}, {44100, 925, false},
	} {
		m := silence(c.rate, 1).tone(0.3, c.hz, 0).measure(t, job.Reading{})
		assert.Equal(t, c.suspect, has(m, "rate-suspect"), "%g Hz at %d: %v", c.hz, c.rate, codes(m))
	}
}

func has(m analyze.Measured, code string) bool {
	for _, c := range codes(m) {
		if c == code {
			return true
		}
	}
	return false
}

// NaN and infinity give no readings but a reason; samples beyond 1 are measured.
func TestSamplesThatAreNoSound(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300} {
		s := silence(8000, 1).tone(0.3, 1000, 0)
		s.x[4000] = bad
		m := s.measure(t, job.Reading{})
		require.Equal(t, []string{"not-finite"}, codes(m))
		assert.Equal(t, []float64{0.5}, m.Warnings[0].AtS)
		for _, r := range m.Readings {
			assert.Equal(t, analyze.WhyNotFinite, r.Why, r.Name)
		}
	}
	m := silence(8000, 1).tone(1.5, 1000.3, 0).measure(t, job.Reading{})
	assert.Equal(t, []string{"beyond-full-scale"}, codes(m))
	assert.InDelta(t, db(2.25), value(t, m, analyze.ToneLevel), 1e-3)
}

// A part that was chosen by hand is used as it is.
func TestPartsChosenByHandAreKept(t *testing.T) {
	s := silence(8000, 4).tone(0.3, 1000, 0)
	s.add(times(0.003, noise(seeded(3), 8000, len(s.x), between(50, 3900))))
	for i := range 8000 {
		s.x[i] = 0
	}
	r := capture.FromSamples("x.wav", 8000, s.x)
	m, err := reading.Measure(r, job.Reading{})
	require.NoError(t, err)
	assert.InDelta(t, 1, m.From, 0.06)
	assert.Equal(t, 4.0, m.To)
	cut, err := r.Cut(4000, 16000)
	require.NoError(t, err)
	m, err = reading.Measure(cut, job.Reading{})
	require.NoError(t, err)
	assert.Equal(t, 0.5, m.From)
	assert.Equal(t, 2.5, m.To)
	assert.True(t, has(m, "unsteady"))
}

// A wave that clips on both sides for seconds is told once every tenth of a second at
// most, wherever in the recording it clips.
func TestClippingIsToldOnceAMoment(t *testing.T) {
	const rate = 8000
	s := silence(rate, 6).tone(0.5, 1000.3, 0)
	for i := range s.x {
		if at := float64(i) / rate; at > 1 && at < 1.35 || at > 4 && at < 4.05 {
			s.x[i] *= 4
		}
	}
	m, err := reading.Measure(sixteen(rate, to16(s.x)), job.Reading{})
	require.NoError(t, err)
	for _, w := range m.Warnings {
		if w.Code == "clipped" {
			require.NotEmpty(t, w.AtS)
			assert.LessOrEqual(t, len(w.AtS), 5, "%v", w.AtS)
			assert.InDelta(t, 1.1, w.AtS[0], 0.1)
			assert.InDelta(t, 4, w.AtS[len(w.AtS)-1], 0.05)
			for i := 1; i < len(w.AtS); i++ {
				assert.GreaterOrEqual(t, w.AtS[i]-w.AtS[i-1], 0.099, "%v", w.AtS)
			}
			return
		}
	}
	t.Fatal("not told")
}
