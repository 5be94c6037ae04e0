package capture_test

import (
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
)

// Past 4 GiB a RIFF header holds the size modulo 2^32, and RF64 (EBU Tech 3306) all
// of it in its ds64 chunk. The files are sparse: nearly all of them is a hole.
func TestPastFourGiB(t *testing.T) {
	if os.Getenv("HISSPOINT_LONG") == "" {
		t.Skip("reads 8 GiB; set HISSPOINT_LONG=1")
	}
	const sound = int64(1)<<32 + 1<<20 // bytes of 16 bits, mono
	le := binary.LittleEndian
	format := le.AppendUint32([]byte("fmt "), 16)
	for _, v := range []uint16{1, 1} {
		format = le.AppendUint16(format, v)
	}
	format = le.AppendUint32(format, 48000)
	format = le.AppendUint32(format, 96000)
	format = le.AppendUint16(format, 2)
	format = le.AppendUint16(format, 16)

	wrapped := le.AppendUint32([]byte("RIFF"), uint32((sound+36)&0xFFFFFFFF))
	wrapped = append(append(wrapped, "WAVE"...), format...)
	wrapped = le.AppendUint32(append(wrapped, "data"...), uint32(sound&0xFFFFFFFF))

	rf64 := append([]byte("RF64\xff\xff\xff\xffWAVEds64"), 28, 0, 0, 0)
	rf64 = le.AppendUint64(rf64, uint64(sound+72))
	rf64 = le.AppendUint64(rf64, uint64(sound))
	rf64 = le.AppendUint64(rf64, uint64(sound/2))
	rf64 = append(append(rf64, 0, 0, 0, 0), format...)
	rf64 = append(rf64, "data\xff\xff\xff\xff"...)

	for name, c := range map[string]struct {
		header []byte
		codes  []string
	}{"wrapped": {wrapped, []string{"header-repaired"}}, "rf64": {rf64, nil}} {
		path := filepath.Join(t.TempDir(), name+".wav")
		require.NoError(t, os.WriteFile(path, c.header, 0o644))
		end := int64(len(c.header)) + sound
		require.NoError(t, os.Truncate(path, end))
		w, err := os.OpenFile(path, os.O_WRONLY, 0)
		require.NoError(t, err)
		_, err = w.WriteAt([]byte{0, 0x40, 0, 0xC0}, end-4) // 0.5, -0.5
		require.NoError(t, err)
		require.NoError(t, w.Close())

		f, err := capture.Open(path)
		require.NoError(t, err)
		r := f.Channels[0]
		var codes []string
		for _, w := range r.Origin.Warnings {
			codes = append(codes, string(w.Code))
		}
		assert.Equal(t, c.codes, codes, name)
		require.Equal(t, sound/2, r.Count, name)
		last, err := r.Cut(r.Count-3, 3)
		require.NoError(t, err)
		assert.Equal(t, []float64{0, 0.5, -0.5}, samples(t, last), name)
		require.NoError(t, f.Close())
		require.NoError(t, os.Remove(path))
	}
}
