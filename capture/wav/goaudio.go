package wav

import (
	"bytes"
	"encoding/binary"
	"fmt"

	"github.com/go-audio/audio"
	gowav "github.com/go-audio/wav"
)

// Length of the header of a plain PCM file.
const canonicalHeader = 44

// throughGoAudio tells which samples github.com/go-audio/wav decodes: integers
// of 8, 24 and 32 bits, little-endian. See the figures in the package comment
// for why 16 bits are not among them.
func (i Info) throughGoAudio() bool {
	return i.Encoding == PCM && (i.Bytes == 1 || i.Bytes > 2 && !i.BigEndian)
}

// small is the memory for one block on its way through go-audio/wav.
type small struct {
	file []byte
	ints audio.IntBuffer
}

// decode gives one channel of a block to go-audio/wav as a small mono file
// with a canonical header, in memory: so that package never sees a size or a
// chunk that was not made here, and each of its reads is a full one.
func (s *small) decode(dst []float64, raw []byte, stride, width int) error {
	n := len(dst)
	if need := canonicalHeader + blockFrames*4; cap(s.file) < need {
		s.file = make([]byte, need)
		s.ints.Data = make([]int, blockFrames)
	}
	file := canonical(s.file[:0], n*width, width)
	file = file[:canonicalHeader+n*width]
	pack(file[canonicalHeader:], raw, stride, width)
	s.ints.Data = s.ints.Data[:n]
	got, err := gowav.NewDecoder(bytes.NewReader(file)).PCMBuffer(&s.ints)
	if err != nil || got != n {
		return fmt.Errorf("cannot be decoded: %d of %d samples came back (%v)", got, n, err)
	}
	scale := 1 / float64(int64(1)<<(8*width-1))
	zero := 0
	if width == 1 {
		zero = 128
	}
	for k, v := range s.ints.Data {
		dst[k] = float64(v-zero) * scale
	}
	return nil
}

// canonical appends the header of a mono PCM file. The rate plays no part.
func canonical(b []byte, size, width int) []byte {
	const rate = 48000
	le := binary.LittleEndian
	b = append(b, "RIFF"...)
	b = le.AppendUint32(b, uint32(canonicalHeader-8+size))
	b = append(b, "WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00"...)
	b = le.AppendUint32(b, rate)
	b = le.AppendUint32(b, uint32(rate*width))
	b = le.AppendUint16(b, uint16(width))
	b = le.AppendUint16(b, uint16(8*width))
	b = append(b, "data"...)
	return le.AppendUint32(b, uint32(size))
}

// pack copies every stride-th sample of width bytes.
func pack(dst, raw []byte, stride, width int) {
	if stride == width {
		copy(dst, raw)
		return
	}
	for at := 0; len(dst) > 0; at += stride {
		copy(dst[:width], raw[at:])
		dst = dst[width:]
	}
}
