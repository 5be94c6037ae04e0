package wav_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hisspoint/capture/wav"
)

// file makes a WAVE file of chunks, sizes as they should be.
func file(chunks ...[]byte) []byte {
	body := []byte("WAVE")
	for _, c := range chunks {
		body = append(body, c...)
	}
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

func chunk(id string, body []byte) []byte {
	b := binary.LittleEndian.AppendUint32([]byte(id), uint32(len(body)))
	return append(append(b, body...), make([]byte, len(body)%2)...)
}

func format(tag, channels, rate, bits int) []byte {
	le := binary.LittleEndian
	frame := channels * ((bits + 7) / 8)
	b := le.AppendUint16(nil, uint16(tag))
	b = le.AppendUint16(b, uint16(channels))
	b = le.AppendUint32(b, uint32(rate))
	b = le.AppendUint32(b, uint32(rate*frame))
	b = le.AppendUint16(b, uint16(frame))
	return chunk("fmt ", le.AppendUint16(b, uint16(bits)))
}

// The sound is the same whatever other chunks there are and in whatever order,
// and whichever channel it is on.
func TestChunkOrderAndChannelDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bits := rapid.SampledFrom([]int{8, 16, 24, 32}).Draw(t, "bits")
		channels := rapid.IntRange(1, 8).Draw(t, "channels")
		channel := rapid.IntRange(1, channels).Draw(t, "channel")
		mono := rapid.SliceOfN(rapid.Byte(), bits/8, 40*bits/8).Draw(t, "bytes")
		mono = mono[:len(mono)/(bits/8)*(bits/8)]
		var wide []byte
		for at := 0; at < len(mono); at += bits / 8 {
			for c := 1; c <= channels; c++ {
				s := make([]byte, bits/8)
				if c == channel {
					copy(s, mono[at:])
				}
				wide = append(wide, s...)
			}
		}
		chunks := [][]byte{format(1, channels, 8000, bits), chunk("data", wide)}
		for _, id := range rapid.SliceOfN(rapid.SampledFrom([]string{"LIST", "bext", "JUNK", "cue ", "Zork"}), 0, 5).Draw(t, "others") {
			chunks = append(chunks, chunk(id, rapid.SliceOfN(rapid.Byte(), 0, 33).Draw(t, "body")))
		}
		_, want := all(t, file(format(1, 1, 8000, bits), chunk("data", mono)), 1)
		info, got := all(t, file(rapid.Permutation(chunks).Draw(t, "order")...), channel)
		assert.Equal(t, want, got)
		assert.Empty(t, info.Notes)
	})
}

// Any cut of any channel is the same part of the whole, block limits included.
func TestCutsAgreeWithTheWhole(t *testing.T) {
	x := make([]float64, 40000)
	for i := range x {
		x[i] = float64(i-20000) / 32768
	}
	for _, bits := range []int{16, 24} {
		path := filepath.Join(t.TempDir(), "ramp.wav")
		require.NoError(t, wav.WriteFile(path, wav.Format{Rate: 8000, Bits: bits}, x, x))
		b, err := os.ReadFile(path)
		require.NoError(t, err)
		info, err := wav.Parse(bytes.NewReader(b), int64(len(b)))
		require.NoError(t, err)
		r := wav.NewReader(bytes.NewReader(b), info)
		rapid.Check(t, func(t *rapid.T) {
			first := rapid.Int64Range(0, info.Frames).Draw(t, "first")
			n := rapid.Int64Range(0, info.Frames-first).Draw(t, "n")
			at := first
			for block, err := range r.Blocks(2, first, n) {
				require.NoError(t, err)
				require.Equal(t, x[at:at+int64(len(block))], block)
				at += int64(len(block))
			}
			require.Equal(t, first+n, at)
		})
	}
}

func TestBlocksOutsideTheFile(t *testing.T) {
	b := file(format(1, 1, 8000, 16), chunk("data", make([]byte, 20)))
	info, err := wav.Parse(bytes.NewReader(b), int64(len(b)))
	require.NoError(t, err)
	r := wav.NewReader(bytes.NewReader(b), info)
	for _, c := range []struct {
		channel  int
		first, n int64
	}{{0, 0, 1}, {2, 0, 1}, {1, -1, 1}, {1, 0, 11}, {1, 11, 0}, {1, 5, -1}, {1, 1 << 62, 1 << 62}} {
		for block, err := range r.Blocks(c.channel, c.first, c.n) {
			assert.Error(t, err)
			assert.Nil(t, block)
		}
	}
}

// sparse is a file of any size that holds its header and beyond it nothing
// but a 16-bit ramp.
type sparse struct {
	head []byte
	size int64
}

func (s sparse) ReadAt(b []byte, at int64) (int, error) {
	n := 0
	for n < len(b) && at+int64(n) < s.size {
		switch p := at + int64(n); {
		case p < int64(len(s.head)):
			b[n] = s.head[p]
		case p%2 == 0:
			b[n] = byte(p)
		default:
			b[n] = byte(p >> 8)
		}
		n++
	}
	if n < len(b) {
		return n, io.EOF
	}
	return n, nil
}

// Past 4 GiB a RIFF header wraps around: the sizes are true modulo 2^32.
func TestWrappedHeader(t *testing.T) {
	for _, frames := range []int64{1<<31 + 1000, 1<<32 + 7, 3<<31 + 1} {
		head := file(format(1, 1, 48000, 16), chunk("data", nil))
		binary.LittleEndian.PutUint32(head[4:], uint32(36+2*frames))
		binary.LittleEndian.PutUint32(head[40:], uint32(2*frames))
		s := sparse{head: head, size: 44 + 2*frames}
		info, err := wav.Parse(s, s.size)
		require.NoError(t, err)
		assert.Equal(t, frames, info.Frames)
		require.Len(t, info.Notes, 1)
		assert.Equal(t, wav.HeaderRepaired, info.Notes[0].Code)
		for block, err := range wav.NewReader(s, info).Blocks(1, frames-2, 2) {
			require.NoError(t, err)
			at := 44 + 2*(frames-2)
			want := float64(int16(uint16(byte(at))|uint16(byte((at+1)>>8))<<8)) / 32768
			assert.Equal(t, want, block[0])
		}
	}
}

// Files that really are as long as a placeholder, and long RF64 files, are
// taken at their word.
func TestLongFilesWithTrueHeaders(t *testing.T) {
	const frames = 0x7FFFFFFE / 2
	head := file(format(1, 1, 48000, 16), chunk("data", nil))
	binary.LittleEndian.PutUint32(head[4:], 36+2*frames)
	binary.LittleEndian.PutUint32(head[40:], 2*frames)
	s := sparse{head: head, size: 44 + 2*frames}
	info, err := wav.Parse(s, s.size)
	require.NoError(t, err)
	assert.Empty(t, info.Notes)
	assert.EqualValues(t, frames, info.Frames)

	const long = int64(5) << 31
	ds := binary.LittleEndian.AppendUint64(nil, uint64(72+2*long))
	ds = binary.LittleEndian.AppendUint64(ds, uint64(2*long))
	ds = binary.LittleEndian.AppendUint64(ds, uint64(long))
	head = file(chunk("ds64", append(ds, 0, 0, 0, 0)), format(1, 1, 48000, 16), chunk("data", nil))
	copy(head, "RF64\xFF\xFF\xFF\xFF")
	copy(head[len(head)-4:], "\xFF\xFF\xFF\xFF")
	s = sparse{head: head, size: int64(len(head)) + 2*long}
	info, err = wav.Parse(s, s.size)
	require.NoError(t, err)
	assert.Empty(t, info.Notes)
	assert.Equal(t, long, info.Frames)
}

// Memory does not grow with the length: a hundred times the sound takes no
// more of it, up to what go-audio/wav throws away with each block.
func TestMemoryDoesNotGrowWithLength(t *testing.T) {
	use := func(frames int64) uint64 {
		head := file(format(1, 1, 48000, 16), chunk("data", nil))
		binary.LittleEndian.PutUint32(head[40:], uint32(2*frames))
		s := sparse{head: head, size: 44 + 2*frames}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		info, err := wav.Parse(s, s.size)
		require.NoError(t, err)
		n := 0
		for block, err := range wav.NewReader(s, info).Blocks(1, 0, frames) {
			require.NoError(t, err)
			n += len(block)
		}
		require.EqualValues(t, frames, n)
		runtime.ReadMemStats(&after)
		return after.TotalAlloc - before.TotalAlloc
	}
	const once = 1 << 20 // one set of buffers
	assert.Less(t, use(10000), uint64(once))
	assert.Less(t, use(10000000), uint64(once))
}

// failing is a medium with a fault somewhere.
type failing struct {
	io.ReaderAt
	from int64
}

var errMedium = errors.New("input/output error")

func (f failing) ReadAt(b []byte, at int64) (int, error) {
	if at+int64(len(b)) > f.from {
		return 0, errMedium
	}
	return f.ReaderAt.ReadAt(b, at)
}

func TestFaultsOfTheMediumAreErrors(t *testing.T) {
	b := file(format(1, 1, 8000, 16), chunk("data", make([]byte, 200000)))
	good := bytes.NewReader(b)
	for _, from := range []int64{0, 14, 30, 40} {
		_, err := wav.Parse(failing{ReaderAt: good, from: from}, int64(len(b)))
		assert.ErrorIs(t, err, errMedium)
	}
	info, err := wav.Parse(good, int64(len(b)))
	require.NoError(t, err)
	var last error
	n := 0
	for block, err := range wav.NewReader(failing{ReaderAt: good, from: 100000}, info).Blocks(1, 0, info.Frames) {
		require.NoError(t, last, "nothing comes after an error")
		n, last = n+len(block), err
	}
	assert.ErrorIs(t, last, errMedium)
	assert.Positive(t, n)
}

func TestConcurrentReading(t *testing.T) {
	x := make([]float64, 50000)
	y := make([]float64, 50000)
	for i := range x {
		x[i], y[i] = float64(i%1000)/32768, -float64(i%1000)/32768
	}
	path := filepath.Join(t.TempDir(), "pair.wav")
	require.NoError(t, wav.WriteFile(path, wav.Format{Rate: 8000, Bits: 16}, x, y))
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	st, err := f.Stat()
	require.NoError(t, err)
	info, err := wav.Parse(f, st.Size())
	require.NoError(t, err)
	r := wav.NewReader(f, info)
	var wg sync.WaitGroup
	for k := range 8 {
		wg.Go(func() {
			want := [][]float64{x, y}[k%2]
			for block, err := range r.Blocks(k%2+1, 0, info.Frames) {
				if !assert.NoError(t, err) || !assert.Equal(t, want[:len(block)], block) {
					return
				}
				want = want[len(block):]
			}
			assert.Empty(t, want)
		})
	}
	wg.Wait()
}
