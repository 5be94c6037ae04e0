package wav

import (
	"bytes"
	"fmt"
)

// Format tags of the Multimedia Programming Interface and Data Specifications
// 1.0 (1991) and RFC 2361.
const (
	tagPCM        = 0x0001
	tagFloat      = 0x0003
	tagALaw       = 0x0006
	tagMuLaw      = 0x0007
	tagExtensible = 0xFFFE
)

// refused names the encodings that are recognised but not read.
var refused = map[int]string{
	0x0002: "ADPCM", 0x0010: "ADPCM", 0x0011: "ADPCM", 0x0014: "ADPCM", 0x0017: "ADPCM", 0x0020: "ADPCM",
	0x0022: "compressed speech", 0x0028: "LPC", 0x0031: "GSM 6.10", 0x0034: "ADPCM", 0x0036: "ADPCM",
	0x0038: "ADPCM", 0x0040: "G.721 ADPCM", 0x0041: "CELP", 0x0042: "G.723.1", 0x0045: "G.726 ADPCM",
	0x0050: "MPEG layer 1 or 2", 0x0055: "MP3", 0x0059: "compressed speech", 0x0064: "G.726 ADPCM", 0x0065: "G.722",
	0x0083: "G.729", 0x0092: "AC-3", 0x00FF: "AAC", 0x0160: "compressed audio", 0x0161: "compressed audio",
	0x0162: "compressed audio", 0x0163: "compressed audio", 0x1600: "AAC", 0x1602: "AAC", 0x1610: "AAC",
	0x2000: "AC-3", 0x2001: "DTS", 0x674F: "Vorbis", 0x6750: "Vorbis", 0x6751: "Vorbis", 0x676F: "Vorbis",
	0x6770: "Vorbis", 0x6771: "Vorbis", 0x704F: "Opus", 0xA109: "compressed speech", 0xF1AC: "FLAC inside WAVE",
}

// fields is the fmt chunk as written.
type fields struct {
	tag, channels    int
	rate, byteRate   int64
	align, bits      int
	valid            int
	at               int64
	extensible, good bool // good: SubFormat is a tag with one of the usual GUID tails
}

func (l *layout) fields() (fields, error) {
	b, at := l.format, l.formatAt
	if len(b) < 16 {
		return fields{}, fmt.Errorf("the fmt chunk at byte %d has %d bytes where at least 16 are needed; record again", at, len(b))
	}
	f := fields{
		at:  at,
		tag: int(l.order.Uint16(b)), channels: int(l.order.Uint16(b[2:])),
		rate: int64(l.order.Uint32(b[4:])), byteRate: int64(l.order.Uint32(b[8:])),
		align: int(l.order.Uint16(b[12:])), bits: int(l.order.Uint16(b[14:])),
	}
	if f.tag != tagExtensible {
		return f, nil
	}
	if len(b) < fmtBytes {
		return fields{}, fmt.Errorf("the extensible fmt chunk at byte %d has %d bytes where 40 are needed, so the encoding is unknown; record as plain PCM", at, len(b))
	}
	f.extensible = true
	f.valid = int(l.order.Uint16(b[18:]))
	f.tag = int(l.order.Uint32(b[24:]))
	f.good = f.tag <= 0xFFFF && (bytes.Equal(b[32:40], tailWave) || bytes.Equal(b[32:40], tailAmbisonic))
	return f, nil
}

// The last eight bytes of a SubFormat that is a format tag, and of the one for
// ambisonic files, whose samples are stored alike.
var (
	tailWave      = []byte{0x80, 0x00, 0x00, 0xAA, 0x00, 0x38, 0x9B, 0x71}
	tailAmbisonic = []byte{0x86, 0x44, 0xC8, 0xC1, 0xCA, 0x00, 0x00, 0x00}
)

// interpret decides from the fmt chunk how samples are stored, or why that
// cannot be known.
func (l *layout) interpret() (Info, error) {
	f, err := l.fields()
	if err != nil {
		return Info{}, err
	}
	info := Info{Container: l.container, Channels: f.channels, Rate: int(f.rate), BigEndian: l.container == "rifx"}
	switch {
	case f.extensible && !f.good:
		return Info{}, fmt.Errorf("encoding unknown: SubFormat at byte %d is none that is published; record as PCM, 16 or 24 bits", f.at+24)
	case f.channels < 1 || f.channels > MaxChannels:
		return Info{}, fmt.Errorf("%d channels (byte %d), where 1 to %d can be; record again, mono or stereo", f.channels, f.at+2, MaxChannels)
	case f.rate < 1 || f.rate > MaxRate:
		return Info{}, fmt.Errorf("sample rate %d Hz (byte %d), where 1 to %d can be; record again at 48000", f.rate, f.at+4, MaxRate)
	}
	switch f.tag {
	case tagPCM:
		info.Encoding = PCM
		err = l.integer(&info, f)
	case tagFloat:
		info.Encoding = Float
		err = float(&info, f)
	case tagALaw, tagMuLaw:
		info.Encoding = ALaw
		if f.tag == tagMuLaw {
			info.Encoding = MuLaw
		}
		err = companded(&info, f)
	default:
		return Info{}, refuseTag(f)
	}
	if err == nil {
		noteRates(&info, f)
	}
	return info, err
}

func refuseTag(f fields) error {
	const advice = "set the recorder to WAV, PCM, 16 or 24 bits"
	if name := refused[f.tag]; name != "" {
		return fmt.Errorf("holds %s (format 0x%04X), which loses what is to be measured; %s", name, f.tag, advice)
	}
	return fmt.Errorf("unknown encoding (format 0x%04X at byte %d); %s", f.tag, f.at, advice)
}

// integer finds the container of integer samples. By the specification it is
// block align over channels, with the valid bits at its top; the byte rate is
// a second witness where they disagree.
func (l *layout) integer(info *Info, f fields) error {
	if f.bits < 1 || f.bits > 32 {
		return fmt.Errorf("%d-bit integer samples (byte %d), where 1 to 32 can be; record with 16 or 24 bits", f.bits, f.at+14)
	}
	tight := (f.bits + 7) / 8
	info.Bits, info.Bytes = f.bits, tight
	if f.valid > 0 && f.valid < f.bits {
		info.Bits = f.valid
	}
	if f.valid > f.bits {
		info.note(HeaderRepaired, fmt.Sprintf("%d valid bits are stated in a container of %d; %d are used", f.valid, f.bits, f.bits))
	}
	if f.align == tight*f.channels {
		return nil
	}
	agree := f.align > 0 && f.byteRate == f.rate*int64(f.align)
	if !agree {
		info.note(HeaderRepaired, fmt.Sprintf("block align says %d bytes a frame; %d x %d bits make %d, and that is used", f.align, f.channels, f.bits, tight*f.channels))
		return nil
	}
	wide := f.align / f.channels
	if f.align%f.channels == 0 && wide > tight && wide <= 4 && f.bits > 8 && l.padded(f.align, wide, wide-tight) {
		info.Bytes = wide
		return nil
	}
	return fmt.Errorf("the fmt chunk at byte %d contradicts itself: %d x %d bits make %d bytes a frame, block align and byte rate say %d; record again",
		f.at, f.channels, f.bits, tight*f.channels, f.align)
}

// padded tells whether the low bytes of the first samples are zero, as they
// are when few bits sit at the top of a wide container.
func (l *layout) padded(frame, wide, low int) bool {
	b := make([]byte, 1024*frame)
	n, err := readAt(l.r, b, l.dataAt)
	if err != nil || n < frame {
		return false
	}
	for b = b[:n/frame*frame]; len(b) > 0; b = b[wide:] {
		part := b[:low]
		if l.container == "rifx" {
			part = b[wide-low : wide]
		}
		for _, c := range part {
			if c != 0 {
				return false
			}
		}
	}
	return true
}

func float(info *Info, f fields) error {
	if f.bits != 32 && f.bits != 64 {
		return fmt.Errorf("%d-bit float samples (byte %d), where 32 and 64 can be; record as 32-bit float or PCM", f.bits, f.at+14)
	}
	info.Bits, info.Bytes = f.bits, f.bits/8
	return info.contradiction(f)
}

func companded(info *Info, f fields) error {
	info.Bits, info.Bytes = 8, 1
	if f.bits != 8 {
		if f.align != f.channels {
			return fmt.Errorf("%s with %d bits a sample (byte %d), where only 8 can be; record as PCM, 16 bits", info.Encoding, f.bits, f.at+14)
		}
		info.note(HeaderRepaired, fmt.Sprintf("%d bits a sample are stated for %s, which has 8", f.bits, info.Encoding))
	}
	return info.contradiction(f)
}

// contradiction settles a wrong block align where the encoding fixes the size
// of a sample: alone it is a slip, with the byte rate on its side the channels
// or bits must be wrong, and nobody can know which.
func (i *Info) contradiction(f fields) error {
	want := i.FrameBytes()
	if f.align == want {
		return nil
	}
	if f.align > 0 && f.byteRate == f.rate*int64(f.align) {
		return fmt.Errorf("the fmt chunk at byte %d contradicts itself: %d x %d bits make %d bytes a frame, block align and byte rate say %d; record again",
			f.at, f.channels, i.Bytes*8, want, f.align)
	}
	i.note(HeaderRepaired, fmt.Sprintf("block align says %d bytes a frame; %d x %d bits make %d, and that is used", f.align, f.channels, i.Bytes*8, want))
	return nil
}

// noteRates compares the byte rate with the rest. Rounded or left at 0 it
// would not change a sample, but the rate could be the field that is wrong.
func noteRates(info *Info, f fields) {
	want := f.rate * int64(info.FrameBytes())
	if f.byteRate == want || len(info.Notes) > 0 {
		return
	}
	info.note(HeaderRepaired, fmt.Sprintf("byte rate says %d, the sample rate of %d Hz makes %d; the sample rate is believed", f.byteRate, f.rate, want))
}
