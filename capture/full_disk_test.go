//go:build linux

package capture_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
	"hisspoint/capture/smalldisk"
	"hisspoint/capture/wav"
)

// On a disk that is full, writing and spooling say so in one line and leave nothing.
func TestFullDisk(t *testing.T) {
	dir := smalldisk.New(t, 64<<10)
	x := make([]float64, 100000)
	path := filepath.Join(dir, "x.wav")
	oneLine(t, wav.WriteFile(path, wav.Format{Rate: 48000, Bits: 16}, x), path, "cannot be written", "no space left")
	assert.True(t, smalldisk.Empty(t, dir))

	whole := filepath.Join(t.TempDir(), "x.wav")
	require.NoError(t, wav.WriteFile(whole, wav.Format{Rate: 48000, Bits: 16}, x))
	b, err := os.ReadFile(whole)
	require.NoError(t, err)
	_, err = capture.OpenStdin(bytes.NewReader(b), dir)
	oneLine(t, err, "-", "cannot be kept in", "no space left", "TMPDIR")
	assert.True(t, smalldisk.Empty(t, dir))

	// What stood there before stays as it was.
	require.NoError(t, wav.WriteFile(path, wav.Format{Rate: 48000, Bits: 16}, x[:1000]))
	assert.Error(t, wav.WriteFile(path, wav.Format{Rate: 48000, Bits: 16}, x))
	f, err := capture.Open(path)
	require.NoError(t, err)
	defer f.Close()
	assert.EqualValues(t, 1000, f.Channels[0].Count)
}
