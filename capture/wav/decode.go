package wav

import (
	"encoding/binary"
	"math"
)

// decode fills dst with one channel. raw begins at that channel's first
// sample, and its next sample is stride bytes further on.
type decode func(dst []float64, raw []byte, stride int)

// decoder is nil for what go-audio/wav decodes.
func (i Info) decoder() decode {
	if i.throughGoAudio() {
		return nil
	}
	switch i.Encoding {
	case ALaw:
		return func(dst []float64, raw []byte, stride int) { lookUp(dst, raw, stride, aLawTable) }
	case MuLaw:
		return func(dst []float64, raw []byte, stride int) { lookUp(dst, raw, stride, muLawTable) }
	case Float:
		return floats(i.Bytes, i.BigEndian)
	}
	return integers(i.Bytes, i.BigEndian)
}

func lookUp(dst []float64, raw []byte, stride int, t *[256]float64) {
	for k := range dst {
		dst[k] = t[raw[k*stride]]
	}
}

func floats(bytes int, big bool) decode {
	switch {
	case bytes == 4 && !big:
		return float32le
	case bytes == 4:
		return func(dst []float64, raw []byte, stride int) {
			for k := range dst {
				dst[k] = float64(math.Float32frombits(binary.BigEndian.Uint32(raw[k*stride:])))
			}
		}
	case !big:
		return func(dst []float64, raw []byte, stride int) {
			for k := range dst {
				dst[k] = math.Float64frombits(binary.LittleEndian.Uint64(raw[k*stride:]))
			}
		}
	}
	return func(dst []float64, raw []byte, stride int) {
		for k := range dst {
			dst[k] = math.Float64frombits(binary.BigEndian.Uint64(raw[k*stride:]))
		}
	}
}

func integers(bytes int, big bool) decode {
	switch {
	case bytes == 2 && !big:
		return int16le
	case bytes == 2:
		return func(dst []float64, raw []byte, stride int) {
			for k := range dst {
				dst[k] = float64(int16(binary.BigEndian.Uint16(raw[k*stride:]))) / (1 << 15)
			}
		}
	case bytes == 3:
		return func(dst []float64, raw []byte, stride int) {
			for k := range dst {
				s := raw[k*stride : k*stride+3]
				dst[k] = float64(int32(uint32(s[2])<<8|uint32(s[1])<<16|uint32(s[0])<<24)) / (1 << 31)
			}
		}
	}
	return func(dst []float64, raw []byte, stride int) {
		for k := range dst {
			dst[k] = float64(int32(binary.BigEndian.Uint32(raw[k*stride:]))) / (1 << 31)
		}
	}
}

// int16le is the case nearly every recording is; eight samples a turn keep
// the bounds checks out of the way.
func int16le(dst []float64, raw []byte, stride int) {
	const scale = 1.0 / (1 << 15)
	if stride != 2 {
		for k := range dst {
			dst[k] = float64(int16(binary.LittleEndian.Uint16(raw[k*stride:]))) * scale
		}
		return
	}
	for len(dst) >= 8 && len(raw) >= 16 {
		d, s := dst[:8:8], raw[:16:16]
		a, b := binary.LittleEndian.Uint64(s), binary.LittleEndian.Uint64(s[8:])
		d[0] = float64(int16(a)) * scale
		d[1] = float64(int16(a>>16)) * scale
		d[2] = float64(int16(a>>32)) * scale
		d[3] = float64(int16(a>>48)) * scale
		d[4] = float64(int16(b)) * scale
		d[5] = float64(int16(b>>16)) * scale
		d[6] = float64(int16(b>>32)) * scale
		d[7] = float64(int16(b>>48)) * scale
		dst, raw = dst[8:], raw[16:]
	}
	for k := range dst {
		dst[k] = float64(int16(binary.LittleEndian.Uint16(raw[2*k:]))) * scale
	}
}

func float32le(dst []float64, raw []byte, stride int) {
	for k := range dst {
		dst[k] = float64(math.Float32frombits(binary.LittleEndian.Uint32(raw[k*stride:])))
	}
}
