package soundcard

import (
	"encoding/binary"
	"math"
)

// decode appends little-endian samples, full scale +-1, and returns the bytes
// that are left of a sample not yet whole.
func (f Format) decode(into []float64, b []byte) ([]float64, []byte) {
	width := f.width()
	le := binary.LittleEndian
	for ; len(b) >= width; b = b[width:] {
		var v float64
		switch {
		case f.Float:
			v = float64(math.Float32frombits(le.Uint32(b)))
		case width == 1:
			v = (float64(b[0]) - 128) / (1 << 7)
		case width == 2:
			v = float64(int16(le.Uint16(b))) / (1 << 15)
		case width == 3:
			v = float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)) / (1 << 31)
		default:
			v = float64(int32(le.Uint32(b))) / (1 << 31)
		}
		into = append(into, v)
	}
	return into, b
}

// width is how many bytes a sample takes.
func (f Format) width() int { return (f.Bits + 7) / 8 }

// encode appends samples as 32-bit float, in which every backend plays.
func encode(into []byte, samples []float64) []byte {
	for _, v := range samples {
		into = binary.LittleEndian.AppendUint32(into, math.Float32bits(float32(v)))
	}
	return into
}
