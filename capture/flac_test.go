package capture

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/fuzzing"
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

// A small file that unpacks to hours is refused, in little time and memory; one
// that unpacks to just as much as is allowed is read.
func TestFLACThatUnpacksToFarTooMuch(t *testing.T) {
	// 65535 x 8 channels x 8 is just below 2^22.
	for frames, want := range map[int]error{8: nil, 9: errDense} {
		b := silence(t, frames, 65535)
		require.Less(t, len(b), 1<<12)
		fuzzing.Bounded(t, func() {
			_, err := Read(bytes.NewReader(b), int64(len(b)), "x")
			assert.ErrorIs(t, err, want)
		})
	}
	// The size of the file counts, not what lies in it.
	b := append(silence(t, 16, 65535), make([]byte, 1<<20)...)
	_, err := Read(bytes.NewReader(b), int64(len(b)), "x")
	assert.NoError(t, err)
}

// The decoder allocates by what metadata claim; only the stream's own comes near it.
func TestFLACWithoutStreamInfoFirst(t *testing.T) {
	b := silence(t, 1, 16)
	const cueSheet = 5
	b[4] = b[4]&0x80 | cueSheet
	_, err := Read(bytes.NewReader(b), int64(len(b)), "x")
	assert.ErrorContains(t, err, "x: the FLAC header is damaged")
}

// A FLAC file whose sound is not what its own checksum says was packed is told, one that
// states none is not (RFC 9639, 8.2: zeros).
func TestFLACChecksum(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "testdata", "zoo", "flac16-2ch.flac"))
	require.NoError(t, err)
	const at = 8 + 18 // in STREAMINFO
	for name, change := range map[string]func(b []byte){"as packed": func([]byte) {}, "another": func(b []byte) { b[at] ^= 1 }, "none": func(b []byte) { clear(b[at : at+16]) }} {
		b := slices.Clone(data)
		change(b)
		path := filepath.Join(t.TempDir(), "a.flac")
		require.NoError(t, os.WriteFile(path, b, 0o644))
		f, err := Open(path)
		require.NoError(t, err, name)
		told := slices.ContainsFunc(f.Channels[0].Origin.Warnings, func(w Warning) bool { return w.Code == ChecksumDiffers })
		assert.Equal(t, name == "another", told, name)
	}
}
