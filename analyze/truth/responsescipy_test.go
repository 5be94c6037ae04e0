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
	"hisspoint/analyze/response"
	"hisspoint/capture"
	testsignal "hisspoint/capture/signal"
	"hisspoint/capture/wav"
)

// Stepped tones, a sweep and a multitone through one response at 30 dB S/N, as
// files, read by numpy and scipy by other means: within 0.1 dB from 300 to 3400 Hz.
func TestResponsesAgainstScipy(t *testing.T) {
	ci := os.Getenv("HISSPOINT_CI") == "1"
	if !ci && !long() {
		t.Skip("skipped: runs testdata/scipy/response.py; set HISSPOINT_LONG=1")
	}
	const interpreter = "/usr/bin/python3"
	if exec.Command(interpreter, "-c", "import numpy, scipy.optimize").Run() != nil {
		lacking(t, "python3-numpy and python3-scipy for "+interpreter)
	}
	dir := t.TempDir()
	write := func(name string, x []float64) {
		require.NoError(t, wav.WriteFile(filepath.Join(dir, name), wav.Format{Rate: responseRate, Bits: 24}, x))
	}
	for kind, x := range played(-1, 51) {
		write(kind+".wav", x)
	}
	write("played.wav", testsignal.SweepSignal(responseRate, shortSweep(), -12, 0.5).Samples)
	var parts [][3]float64
	for _, p := range testsignal.Stepped(responseRate, testsignal.StandardSteps(3), -12, 0.8).Parts {
		parts = append(parts, [3]float64{p.From, p.To, p.Hz})
	}
	points := testsignal.StandardSteps(6)
	spec, err := json.Marshal(map[string]any{
		"points":    points,
		"stepped":   map[string]any{"file": "stepped.wav", "parts": parts},
		"multitone": map[string]any{"file": "multitone.wav", "tones": testsignal.StandardMultitone()},
		"sweep":     map[string]any{"file": "sweep.wav", "played": "played.wav"},
	})
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "spec.json"), spec, 0o600))
	c := exec.Command(interpreter, "-B", filepath.Join(scipyFolder, "response.py"), dir)
	b, err := c.Output()
	require.NoError(t, err, "%s", c.Stderr)
	var outside map[string]map[string]float64
	require.NoError(t, json.Unmarshal(b, &outside))
	require.Len(t, outside, 3)
	for kind, want := range outside {
		f, err := capture.Open(filepath.Join(dir, kind+".wav"))
		require.NoError(t, err)
		r, err := response.Measure(f.Channels[:1], analyze.ResponseHow{Sweep: shortSweep()})
		require.NoError(t, err)
		require.NoError(t, f.Close())
		require.Equal(t, kind, r.Kind, r.Why)
		worst, compared := 0.0, 0
		for text, dB := range want {
			hz, err := strconv.ParseFloat(text, 64)
			require.NoError(t, err)
			for _, p := range r.Points {
				if math.Abs(p.Hz/hz-1) > 1e-3 {
					continue
				}
				compared++
				worst = math.Max(worst, math.Abs(p.DB-dB))
				assert.InDelta(t, dB, p.DB, 0.1, "%s at %s Hz", kind, text)
			}
		}
		assert.Equal(t, len(want), compared, kind)
		t.Logf("%s: %d points, at most %.4f dB apart", kind, compared, worst)
	}
}
