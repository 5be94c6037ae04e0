package truth_test

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

var scipyFolder = filepath.Join("..", "..", "testdata", "scipy")

// outside is what testdata/scipy/measure.py found in a file with numpy and scipy.
type outside struct {
	Rate      int                `json:"rate"`
	Samples   int64              `json:"samples"`
	Asked     float64            `json:"asked_hz"`
	Frequency float64            `json:"frequency_hz"`
	Tone      float64            `json:"tone_dbfs"`
	Level     float64            `json:"level_dbfs"`
	Offset    float64            `json:"offset"`
	SINAD     float64            `json:"sinad_db"`
	THD       float64            `json:"thd_percent"`
	Harmonics map[string]float64 `json:"harmonics_percent"`
	Noise     float64            `json:"noise_dbfs"`
}

func readOutside(t *testing.T, b []byte) map[string]outside {
	t.Helper()
	var out map[string]outside
	require.NoError(t, json.Unmarshal(b, &out))
	require.GreaterOrEqual(t, len(out), 12)
	return out
}

// WAV files of many kinds, measured by an independent computation in numpy and
// scipy: SINAD within 0.05 dB, THD within 0.02 %, levels within 0.01 dB,
// frequency within 1 ppm.
func TestAgainstScipy(t *testing.T) {
	b, err := os.ReadFile(filepath.Join(scipyFolder, "expected.json"))
	require.NoError(t, err)
	var worst struct{ sinad, thd, level, ppm float64 }
	for name, want := range readOutside(t, b) {
		f, err := capture.Open(filepath.Join(scipyFolder, "wav", name))
		require.NoError(t, err)
		defer f.Close()
		r := f.Channels[0]
		require.Equal(t, want.Rate, r.Rate, name)
		require.Equal(t, want.Samples, r.Count, name)
		m, err := reading.Measure(r, job.Reading{ToneHz: want.Asked})
		require.NoError(t, err)
		healthy(t, m)
		off := func(into *float64, readingName string, truth float64) float64 {
			d := value(t, m, readingName) - truth
			*into = math.Max(*into, math.Abs(d))
			return d
		}
		assert.InDelta(t, 0, off(&worst.sinad, analyze.SINAD, want.SINAD), 0.05, "%s: SINAD", name)
		assert.InDelta(t, 0, off(&worst.thd, analyze.THD, want.THD), 0.02, "%s: THD", name)
		assert.InDelta(t, 0, off(&worst.level, analyze.Level, want.Level), 0.01, "%s: level", name)
		assert.InDelta(t, 0, off(&worst.level, analyze.ToneLevel, want.Tone), 0.01, "%s: tone level", name)
		assert.InDelta(t, want.Noise, value(t, m, analyze.NoiseLevel), 0.05, "%s: noise", name)
		assert.InDelta(t, want.Offset, value(t, m, analyze.DCOffset), 1e-4, "%s: offset", name)
		ppm := 1e6 * (value(t, m, analyze.ToneFrequency)/want.Frequency - 1)
		worst.ppm = math.Max(worst.ppm, math.Abs(ppm))
		assert.InDelta(t, 0, ppm, 1, "%s: ppm of frequency", name)
		got := percents(m)
		assert.Len(t, got, len(want.Harmonics), name)
		for order, percent := range want.Harmonics {
			n, err := strconv.Atoi(order)
			require.NoError(t, err)
			// As a power, since a harmonic lost in noise is the root of a small difference.
			assert.InDelta(t, percent*percent, got[n]*got[n], 0.02*math.Max(percent, want.THD), "%s: harmonic %d", name, n)
		}
	}
	t.Logf("furthest apart: SINAD %.4f dB, THD %.4f %%, level %.5f dB, frequency %.3f ppm", worst.sinad, worst.thd, worst.level, worst.ppm)
}

// The stored figures are what the scripts make and find today.
func TestScipyFiguresAreCurrent(t *testing.T) {
	ci := os.Getenv("HISSPOINT_CI") == "1"
	if !ci && !long() {
		t.Skip("runs the scripts in testdata/scipy again; set HISSPOINT_LONG=1")
	}
	const interpreter = "/usr/bin/python3"
	if exec.Command(interpreter, "-c", "import numpy, scipy.optimize").Run() != nil {
		if ci {
			t.Fatal("not installed: python3-numpy and python3-scipy for " + interpreter)
		}
		t.Skip("not installed: python3-numpy and python3-scipy for " + interpreter)
	}
	run := func(args ...string) []byte {
		args[0] = filepath.Join(scipyFolder, args[0])
		c := exec.Command(interpreter, append([]string{"-B"}, args...)...)
		out, err := c.Output()
		require.NoError(t, err, "%v: %s", args, c.Stderr)
		return out
	}
	wav := filepath.Join(scipyFolder, "wav")
	run("make.py", "--check", wav)
	stored, err := os.ReadFile(filepath.Join(scipyFolder, "expected.json"))
	require.NoError(t, err)
	was, is := readOutside(t, stored), readOutside(t, run("measure.py", "--expected", wav))
	require.Len(t, is, len(was))
	for name, w := range was {
		got := is[name]
		assert.InDelta(t, w.SINAD, got.SINAD, 1e-3, name)
		assert.InDelta(t, w.THD, got.THD, 1e-3, name)
		assert.InDelta(t, w.Level, got.Level, 1e-4, name)
		assert.InDelta(t, w.Tone, got.Tone, 1e-4, name)
		assert.InEpsilon(t, w.Frequency, got.Frequency, 1e-8, name)
	}
}
