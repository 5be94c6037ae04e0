package truth_test

import (
	"encoding/json"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
	"hisspoint/capture/wav"
)

// Openings, closings and the end of the tone against an envelope of numpy and
// scipy on the same file.
func TestSquelchAgainstScipy(t *testing.T) {
	const interpreter = "/usr/bin/python3"
	if exec.Command(interpreter, "-c", "import numpy, scipy.signal").Run() != nil {
		lacking(t, "python3-numpy and python3-scipy for "+interpreter)
	}
	b := plainBench(12)
	set := b.Set.(simulate.FM)
	set.Squelch = simulate.Squelch{On: true, OpenDBm: -116, CloseDBm: -118, AttackS: 0.05, TailS: 0.15, MuteDB: 60}
	b.Set = set
	x := b.Record(simulate.Keyed(-104, 0.8, 0.7, 3)...)
	path := filepath.Join(t.TempDir(), "keyed.wav")
	require.NoError(t, wav.WriteFile(path, wav.Format{Rate: b.Card.Rate, Bits: 16}, x))
	out, err := exec.Command(interpreter, "-B", filepath.Join(scipyFolder, "squelch.py"), path).Output()
	require.NoError(t, err)
	var other struct{ Opened, Closed, Gone []float64 }
	require.NoError(t, json.Unmarshal(out, &other))

	r, err := kind.Squelch(setup(job.KindSquelch, job.Take{File: "keyed.wav"}), []capture.Recording{capture.FromSamples("keyed.wav", b.Card.Rate, x)})
	require.NoError(t, err)
	require.Len(t, r.Events, 3, r.Why)
	require.Len(t, other.Opened, 3)
	for i, e := range r.Events {
		assert.InDelta(t, other.Opened[i], e.AtS, 0.005)
		assert.InDelta(t, other.Closed[i], e.UntilS, 0.005)
		assert.InDelta(t, other.Gone[i], e.UntilS-e.Readings[1].Value/1000, 0.008)
	}
}
