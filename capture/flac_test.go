package capture

import (
	"bytes"
	"os"
	"runtime"
	"testing"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// silence is a FLAC file of frames of size equal samples in each of 8 channels.
func silence(t *testing.T, frames, size int) []byte {
	t.Helper()
	var b bytes.Buffer
	e, err := flac.NewEncoder(&b, &meta.StreamInfo{BlockSizeMin: uint16(size), BlockSizeMax: uint16(size), SampleRate: 48000, NChannels: 8, BitsPerSample: 16})
	require.NoError(t, err)
	f := &frame.Frame{Header: frame.Header{HasFixedBlockSize: true, BlockSize: uint16(size), SampleRate: 48000, Channels: 7, BitsPerSample: 16}}
	zeros := make([]int32, size)
	for range 8 {
		f.Subframes = append(f.Subframes, &frame.Subframe{SubHeader: frame.SubHeader{Pred: frame.PredConstant}, Samples: zeros, NSamples: size})
	}
	for range frames {
		require.NoError(t, e.WriteFrame(f))
	}
	require.NoError(t, e.Close())
	return b.Bytes()
}

// A cut of FLAC is the same part of the whole, across its frames.
func TestFLACSilenceIsRead(t *testing.T) {
	b := silence(t, 5, 4096)
	f, err := recordings(bytes.NewReader(b), int64(len(b)), "x")
	require.NoError(t, err)
	require.Len(t, f.Channels, 8)
	assert.EqualValues(t, 5*4096, f.Channels[7].Count)
	cut, err := f.Channels[7].Cut(4000, 5000)
	require.NoError(t, err)
	n := 0
	for block, err := range cut.Blocks() {
		require.NoError(t, err)
		n += len(block)
	}
	assert.Equal(t, 5000, n)
}

// Memory in use stays flat while a small file unpacks to a gigabyte and more,
// and one that would go on for hours is refused.
func TestFLACThatUnpacksToFarTooMuch(t *testing.T) {
	if os.Getenv("HISSPOINT_LONG") == "" {
		t.Skip("takes a while; set HISSPOINT_LONG=1")
	}
	b := silence(t, 700, 65535)
	require.Less(t, len(b), 1<<16)
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	before := m.Sys
	_, err := recordings(bytes.NewReader(b), int64(len(b)), "x")
	assert.ErrorIs(t, err, errDense)
	runtime.ReadMemStats(&m)
	assert.Less(t, m.Sys-before, uint64(64<<20))
}
