package truth_test

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// moved is a recording that testdata/scipy/moving.py made, with its truth.
type moved struct {
	File  string
	Kind  string
	SINAD float64
	Slope float64 `json:"hz_per_s"`
	Slips [][2]float64
}

// movedBy has numpy and scipy make so many recordings of each kind.
func movedBy(t *testing.T, seed, each int) (folder string, all []moved) {
	t.Helper()
	const interpreter = "/usr/bin/python3"
	if exec.Command(interpreter, "-c", "import numpy, scipy.signal").Run() != nil {
		lacking(t, "python3-numpy and python3-scipy for "+interpreter)
	}
	folder = t.TempDir()
	c := exec.Command(interpreter, "-B", filepath.Join(scipyFolder, "moving.py"), folder, strconv.Itoa(seed), strconv.Itoa(each))
	c.Stderr = os.Stderr
	require.NoError(t, c.Run())
	text, err := os.ReadFile(filepath.Join(folder, "truth.json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &all))
	require.NotEmpty(t, all)
	return folder, all
}

// Tones of numpy that drift, warm up, flutter and slip have the SINAD of tone and noise as they
// were added, within 0.1 dB, and their drift; lost samples are told where they are and nowhere
// else; a tone that is keyed, fades or has its phase turned about has no SINAD.
func TestTonesThatNumpyMoves(t *testing.T) {
	each := 1
	if long() {
		each = 40
	}
	folder, all := movedBy(t, 515151, each)
	count := map[string]int{}
	worst := map[string]float64{}
	for _, truth := range all {
		m := measuredFile(t, filepath.Join(folder, truth.File), job.Reading{Mode: job.SSB})
		got := m.Get(analyze.SINAD)
		count[truth.Kind]++
		if slices.Contains([]string{"keyed", "fading", "swaying", "phase-keyed", "shift-keyed"}, truth.Kind) {
			assert.False(t, got.OK(), truth.File)
			if truth.Kind == "swaying" || truth.Kind == "phase-keyed" { // not "no tone": it is heard from end to end
				assert.Equal(t, analyze.WhyUnsteady, got.Why, truth.File)
				assert.True(t, has(m, "unsteady"), truth.File)
			}
			assert.False(t, has(m, "dropped-samples") || has(m, "gain-changed"), "%s: %v", truth.File, m.Warnings)
			continue
		}
		require.True(t, got.OK(), "%s: %s", truth.File, got.Why)
		assert.InDelta(t, truth.SINAD, got.Value, 0.1, truth.File)
		worst[truth.Kind] = max(worst[truth.Kind], got.Value-truth.SINAD, truth.SINAD-got.Value)
		drift := m.Get(analyze.ToneDrift)
		// A frequency that bends has its slope in chunks, which weigh otherwise than one straight line.
		share := map[string]float64{"curved": 0.05, "warming": 0.05}[truth.Kind]
		assert.InDelta(t, truth.Slope, drift.Value, share*math.Abs(truth.Slope)+drift.High-drift.Low, truth.File)
		assert.Equal(t, truth.Kind == "fluttering", has(m, "tone-wavers"), "%s: %v", truth.File, m.Warnings)
		at := warned(m, "dropped-samples").AtS
		if assert.Len(t, at, len(truth.Slips), "%s: %v", truth.File, m.Warnings) {
			for i, s := range truth.Slips {
				assert.InDelta(t, s[0], at[i], 0.02, truth.File)
			}
		}
	}
	t.Logf("%v, SINAD off by at most (dB) %v", count, worst)
}
