package capture_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
	"hisspoint/capture/wav"
)

func samples(t *testing.T, r capture.Recording) []float64 {
	t.Helper()
	out := make([]float64, 0, r.Count)
	for block, err := range r.Blocks() {
		require.NoError(t, err)
		out = append(out, block...)
	}
	require.Len(t, out, int(r.Count))
	return out
}

func TestOpenReadsWhatWasWritten(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pair.wav")
	left, right := []float64{0, 0.5, -0.5, -1}, []float64{0.25, 0.125, -0.25, 0}
	require.NoError(t, wav.WriteFile(path, wav.Format{Rate: 48000, Bits: 16}, left, right))
	f, err := capture.Open(path)
	require.NoError(t, err)
	defer f.Close()
	require.Len(t, f.Channels, 2)
	assert.Equal(t, left, samples(t, f.Channels[0]))
	assert.Equal(t, right, samples(t, f.Channels[1]))
	cut, err := f.Channels[1].Cut(1, 2)
	require.NoError(t, err)
	assert.Equal(t, right[1:3], samples(t, cut))
}

func TestOpenStdinKeepsNothingBehind(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.wav")
	require.NoError(t, wav.WriteFile(path, wav.Format{Rate: 8000, Bits: 32, Float: true}, []float64{0.5, -0.5}))
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	spool := filepath.Join(dir, "spool")
	require.NoError(t, os.Mkdir(spool, 0o755))
	f, err := capture.OpenStdin(bytes.NewReader(b), spool)
	require.NoError(t, err)
	assert.Equal(t, "-", f.Channels[0].Origin.File)
	assert.Equal(t, []float64{0.5, -0.5}, samples(t, f.Channels[0]))
	require.NoError(t, f.Close())
	left, err := os.ReadDir(spool)
	require.NoError(t, err)
	assert.Empty(t, left)
}
