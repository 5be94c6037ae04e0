package wav

import (
	"encoding/binary"
	"math"
)

// encode appends samples as they are stored. Integers are rounded to the
// nearest (ties to even) and saturated; b has room for all of them.
func (f Format) encode(b []byte, samples []float64) []byte {
	at := len(b)
	width := f.Bits / 8
	b = b[:at+len(samples)*width]
	dst := b[at:]
	le := binary.LittleEndian
	switch {
	case f.Float && f.Bits == 32:
		for i, v := range samples {
			le.PutUint32(dst[4*i:], math.Float32bits(float32(v)))
		}
	case f.Float:
		for i, v := range samples {
			le.PutUint64(dst[8*i:], math.Float64bits(v))
		}
	case f.Bits == 8:
		for i, v := range samples {
			dst[i] = byte(integer(v, 1<<7) + 128)
		}
	case f.Bits == 16:
		for i, v := range samples {
			le.PutUint16(dst[2*i:], uint16(integer(v, 1<<15)))
		}
	case f.Bits == 24:
		for i, v := range samples {
			n := integer(v, 1<<23)
			dst[3*i], dst[3*i+1], dst[3*i+2] = byte(n), byte(n>>8), byte(n>>16)
		}
	default:
		for i, v := range samples {
			le.PutUint32(dst[4*i:], uint32(integer(v, 1<<31)))
		}
	}
	return b
}

func integer(v, full float64) int64 {
	return int64(math.RoundToEven(max(-full, min(full-1, v*full))))
}
