package wav_test

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hisspoint/capture/wav"
)

// all reads one channel of a file in memory.
func all(t require.TestingT, b []byte, channel int) (wav.Info, []float64) {
	info, err := wav.Parse(bytes.NewReader(b), int64(len(b)))
	require.NoError(t, err)
	var out []float64
	for block, err := range wav.NewReader(bytes.NewReader(b), info).Blocks(channel, 0, info.Frames) {
		require.NoError(t, err)
		out = append(out, block...)
	}
	require.Len(t, out, int(info.Frames))
	return info, out
}

// anyFormat draws one of the formats that are written.
func anyFormat(t *rapid.T) wav.Format {
	kind := rapid.SampledFrom([]wav.Format{{Bits: 8}, {Bits: 16}, {Bits: 24}, {Bits: 32}, {Bits: 32, Float: true}, {Bits: 64, Float: true}}).Draw(t, "kind")
	kind.Rate = rapid.IntRange(1, wav.MaxRate).Draw(t, "rate")
	kind.Channels = rapid.SampledFrom([]int{1, 2, 3, 6, 64}).Draw(t, "channels")
	return kind
}

// stored draws a value that the format holds exactly.
func stored(t *rapid.T, f wav.Format) float64 {
	switch {
	case f.Float && f.Bits == 32:
		return float64(rapid.Float32().Draw(t, "sample"))
	case f.Float:
		return rapid.Float64().Draw(t, "sample")
	}
	full := int64(1) << (f.Bits - 1)
	return float64(rapid.Int64Range(-full, full-1).Draw(t, "sample")) / float64(full)
}

// Writing then reading changes nothing that the format can hold, whatever the
// blocks it is written in, and leaves nothing to repair.
func TestWriteThenReadIsIdentity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := anyFormat(t)
		frames := rapid.IntRange(1, 50).Draw(t, "frames")
		x := make([]float64, frames*f.Channels)
		for i := range x {
			x[i] = stored(t, f)
		}
		m := &memory{}
		w, err := wav.NewWriter(m, f)
		require.NoError(t, err)
		for rest := x; len(rest) > 0; {
			n := rapid.IntRange(0, len(rest)/f.Channels).Draw(t, "block") * f.Channels
			require.NoError(t, w.Write(rest[:n]))
			rest = rest[n:]
			if n == 0 {
				require.NoError(t, w.Write(rest))
				break
			}
		}
		require.NoError(t, w.Close())
		for c := range f.Channels {
			info, got := all(t, m.b, c+1)
			assert.Empty(t, info.Notes)
			assert.Equal(t, f.Rate, info.Rate)
			assert.Equal(t, f.Bits, info.Bits)
			for i, v := range got {
				assert.Equal(t, x[i*f.Channels+c], v)
			}
		}
	})
}

func TestIntegersRoundAndSaturate(t *testing.T) {
	for _, bits := range []int{8, 16, 24, 32} {
		m := &memory{}
		w, err := wav.NewWriter(m, wav.Format{Rate: 8000, Channels: 1, Bits: bits})
		require.NoError(t, err)
		step := 1 / float64(int64(1)<<(bits-1))
		require.NoError(t, w.Write([]float64{1, 1e300, -1, -1e300, 0.4 * step, 0.6 * step, -0.6 * step, 1 - 0.4*step}))
		require.NoError(t, w.Close())
		_, got := all(t, m.b, 1)
		assert.Equal(t, []float64{1 - step, 1 - step, -1, -1, 0, step, -step, 1 - step}, got, "%d bits", bits)
	}
}

func TestWriterRefusesWhatIsNoNumber(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64} {
		m := &memory{}
		w, err := wav.NewWriter(m, wav.Format{Rate: 8000, Channels: 1, Bits: 32, Float: true})
		require.NoError(t, err)
		assert.ErrorIs(t, w.Write([]float64{0.25, bad}), wav.ErrNotFinite)
		require.NoError(t, w.Write([]float64{0.5}), "a refused block does not spoil the file")
		require.NoError(t, w.Close())
		_, got := all(t, m.b, 1)
		assert.Equal(t, []float64{0.5}, got)
	}
}

func TestWriterRefusesFormats(t *testing.T) {
	for _, f := range []wav.Format{
		{Rate: 0, Channels: 1, Bits: 16}, {Rate: 768001, Channels: 1, Bits: 16}, {Rate: 8000, Channels: 0, Bits: 16},
		{Rate: 8000, Channels: 65, Bits: 16}, {Rate: 8000, Channels: 1, Bits: 12}, {Rate: 8000, Channels: 1, Bits: 64},
		{Rate: 8000, Channels: 1, Bits: 16, Float: true},
	} {
		_, err := wav.NewWriter(&memory{}, f)
		assert.Error(t, err, "%+v", f)
	}
	w, err := wav.NewWriter(&memory{}, wav.Format{Rate: 8000, Channels: 2, Bits: 16})
	require.NoError(t, err)
	assert.Error(t, w.Write(make([]float64, 3)), "half a frame")
	require.NoError(t, w.Close())
	assert.Error(t, w.Write(make([]float64, 2)), "after closing")
}

// cutting is a file that is looked at after every single write, as if the
// power had gone just then.
type cutting struct {
	memory
	look func([]byte)
}

func (c *cutting) Write(p []byte) (int, error) {
	n, err := c.memory.Write(p)
	c.look(c.b)
	return n, err
}

// Cut off at any moment, what the header states is there and right, and less
// than a second (here: a buffer of 64 KiB) is missing.
func TestHeaderIsTrueAllTheTime(t *testing.T) {
	const rate = 20000
	x := make([]float64, 5*rate)
	for i := range x {
		x[i] = float64(i%65536-32768) / 32768
	}
	for _, f := range []wav.Format{{Rate: rate, Channels: 1, Bits: 16}, {Rate: rate, Channels: 1, Bits: 32, Float: true}} {
		written, looks := 0, 0
		c := &cutting{}
		c.look = func(b []byte) {
			info, err := wav.Parse(bytes.NewReader(b), int64(len(b)))
			if written < rate {
				return
			}
			require.NoError(t, err)
			_, got := all(t, b, 1)
			assert.Equal(t, x[:info.Frames], got)
			assert.LessOrEqual(t, written-int(info.Frames), rate)
			looks++
		}
		w, err := wav.NewWriter(c, f)
		require.NoError(t, err)
		for written < len(x) {
			require.NoError(t, w.Write(x[written:written+500]))
			written += 500
		}
		require.NoError(t, w.Close())
		assert.Greater(t, looks, 7, "sound and header of four seconds")
		_, got := all(t, c.b, 1)
		assert.Equal(t, x, got)
	}
}

// A disk that is full after any number of bytes gives an error that stays, and
// what reached it can still be read.
func TestFullDisk(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := wav.Format{Rate: 1000, Channels: 1, Bits: 16}
		m := &memory{limit: rapid.Int64Range(1, 9000).Draw(t, "disk")}
		w, err := wav.NewWriter(m, f)
		if m.limit < 44 {
			require.ErrorIs(t, err, errFull)
			return
		}
		require.NoError(t, err)
		x := make([]float64, 5000)
		for i := range x {
			x[i] = float64(i) / 32768
		}
		var failed error
		for at := 0; at < len(x) && failed == nil; at += 100 {
			failed = w.Write(x[at : at+100])
		}
		require.ErrorIs(t, failed, errFull)
		require.ErrorIs(t, w.Write(x[:1]), errFull)
		require.ErrorIs(t, w.Close(), errFull)
		if m.limit >= 44+2000 {
			info, got := all(t, m.b, 1)
			assert.Equal(t, x[:info.Frames], got)
		}
	})
}

func TestWriteFileLeavesNothingHalfWritten(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "tone.wav")
	f := wav.Format{Rate: 8000, Bits: 16}
	require.NoError(t, wav.WriteFile(path, f, []float64{0.5}))
	before, err := os.ReadFile(path)
	require.NoError(t, err)

	err = wav.WriteFile(path, f, []float64{0.25, math.NaN()})
	require.ErrorIs(t, err, wav.ErrNotFinite)
	assert.Contains(t, err.Error(), "tone.wav: ")
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, before, after, "the old file stays as it was")

	folder := filepath.Join(dir, "folder.wav")
	require.NoError(t, os.MkdirAll(filepath.Join(folder, "full"), 0o755))
	assert.ErrorContains(t, wav.WriteFile(folder, f, []float64{0.5}), "folder.wav: cannot be written")
	assert.ErrorContains(t, wav.WriteFile(filepath.Join(dir, "none", "x.wav"), f, []float64{0.5}), "x.wav: cannot be written")
	assert.Error(t, wav.WriteFile(filepath.Join(dir, "y.wav"), f, []float64{1}, []float64{1, 2}), "channels of two lengths")
	assert.Error(t, wav.WriteFile(filepath.Join(dir, "y.wav"), f), "no channel")

	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, left, 2, "no temporary file stays")
}

// The limit of RIFF is kept before a byte of the block is written.
func TestWriterStopsAtFourGiB(t *testing.T) {
	w, err := wav.NewWriter(sink{}, wav.Format{Rate: 48000, Channels: 1, Bits: 16})
	require.NoError(t, err)
	w.Pretend(1<<32 - 1000)
	assert.NoError(t, w.Write(make([]float64, 400)))
	assert.ErrorIs(t, w.Write(make([]float64, 100)), wav.ErrTooLong)
	assert.NoError(t, w.Close())
}
