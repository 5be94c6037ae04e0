package capture

import (
	"bufio"
	"bytes"
	"crypto/md5"
	"errors"
	"fmt"
	"hash"
	"hisspoint/capture/note"
	"io"
	"iter"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
)

// flacSource decodes from the start of the file each time: FLAC frames cannot
// be found without reading those before them, unless a seek table is trusted.
type flacSource struct {
	r    io.ReaderAt
	size int64
	info flacInfo
}

type flacInfo struct {
	rate, channels, bits int
	frames               int64
}

// fromFLAC decodes the whole stream once, because the length in its header
// may be missing or wrong, and a damaged frame shows only when it is decoded.
// The time this takes grows with the audio, not with the bytes (silence packs
// into very few); the memory does not grow.
func fromFLAC(r io.ReaderAt, size int64, name string) (*File, error) {
	s := flacSource{r: r, size: size}
	if err := s.skipTag(); err != nil {
		return nil, err
	}
	stream, err := s.open()
	if err != nil {
		return nil, fmt.Errorf("the FLAC header is damaged: %w; copy it again from the recorder", err)
	}
	head := stream.Info
	s.info = flacInfo{rate: int(head.SampleRate), channels: int(head.NChannels), bits: int(head.BitsPerSample)}
	if s.info.rate < 1 {
		return nil, errors.New("the FLAC header gives a sample rate of 0; record again at 48000")
	}
	broken := error(nil)
	sum := md5.New()
	for n, err := range s.count(stream, sum) {
		s.info.frames, broken = n, err
	}
	if errors.Is(broken, errDense) {
		return nil, broken
	}
	if s.info.frames == 0 {
		return nil, errors.New("holds no samples; record again")
	}
	o := Origin{File: name, Container: "flac", Encoding: "flac", Bits: s.info.bits, Channels: s.info.channels}
	o.Warnings = s.judge(int64(head.NSamples), broken)
	if stated := head.MD5sum[:]; broken == nil && !bytes.Equal(stated, make([]byte, md5.Size)) && !bytes.Equal(stated, sum.Sum(nil)) { // zeros: not stated
		o.Warnings = append(o.Warnings, Warning{Code: ChecksumDiffers, Says: note.Of("flac-checksum")})
	}
	return spread(o, s.info.rate, s.info.frames, named{name, r, s}), nil
}

// judge compares what the header promises with what could be decoded.
func (s flacSource) judge(promised int64, broken error) []Warning {
	got := float64(s.info.frames) / float64(s.info.rate)
	switch {
	case promised == s.info.frames:
		// Whatever follows, a tag for example, is not sound.
		return nil
	case broken != nil:
		how := "flac-damaged"
		if errors.Is(broken, io.ErrUnexpectedEOF) {
			how = "flac-cut-off"
		}
		return []Warning{{Code: Truncated, Says: note.Of(how, note.Seconds(got)), AtS: []float64{got}}}
	case promised > s.info.frames:
		return []Warning{{Code: Truncated, Says: note.Of("flac-short", note.Seconds(float64(promised)/float64(s.info.rate)), note.Seconds(got)), AtS: []float64{got}}}
	case promised != 0 && promised < s.info.frames:
		return []Warning{{Code: HeaderRepaired, Says: note.Of("flac-samples", promised, s.info.frames)}}
	}
	return nil
}

// skipTag leaves out an ID3v2 tag in front, and refuses what has no STREAMINFO
// first (RFC 9639, 8.1), for whose claims the decoder would allocate.
func (s *flacSource) skipTag() error {
	b := make([]byte, sniffBytes)
	n, err := s.r.ReadAt(b, 0)
	if err != nil && err != io.EOF {
		return unwrapPath(err)
	}
	at := max(0, flacAt(b[:n]))
	s.r, s.size = io.NewSectionReader(s.r, int64(at), s.size-int64(at)), s.size-int64(at)
	const streamInfo, infoBytes = 0, 34
	if b = b[at:n]; len(b) < 8 || b[4]&0x7F != streamInfo || b[5] != 0 || b[6] != 0 || b[7] != infoBytes {
		return errors.New("the FLAC header is damaged: it does not begin with the stream's data; copy it again from the recorder")
	}
	return nil
}

func (s flacSource) open() (stream *flac.Stream, err error) {
	defer guard(&err)
	return flac.New(bufio.NewReaderSize(io.NewSectionReader(s.r, 0, s.size), 1<<16))
}

// next decodes a frame; a panic of the decoder on damaged bytes is damage.
func (s flacSource) next(stream *flac.Stream) (f *frame.Frame, err error) {
	defer guard(&err)
	f, err = stream.ParseNext()
	if err != nil {
		return nil, err
	}
	if len(f.Subframes) != s.info.channels || f.BitsPerSample != 0 && int(f.BitsPerSample) != s.info.bits ||
		f.SampleRate != 0 && int(f.SampleRate) != s.info.rate {
		return nil, errors.New("channels, bits or sample rate change within the file")
	}
	for _, sub := range f.Subframes {
		if len(sub.Samples) != len(f.Subframes[0].Samples) {
			return nil, errors.New("channels of different lengths in one frame")
		}
	}
	return f, nil
}

func guard(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("damaged data (%v)", p)
	}
}

// Digital silence packs into almost nothing, so a file of a few kilobytes can
// promise hours, and all that is measured costs time. What has sound in it takes
// more than a byte for eight samples: with no more than the lowest bit moving it
// takes two bits a sample. A file may hold that much, of all channels together,
// and 87 s of one channel at 48 kHz in any case; up to 1 MiB that is 8.4 million.
const (
	freeSamples    = 1 << 22
	samplesPerByte = 8
)

var errDense = errors.New("is nothing but digital silence for longer than is read; cut the silence off or record again")

// count yields the frames decoded so far, and at the end what broke, if anything did.
//
// sum takes the samples as RFC 9639, 8.2, has them: channel by channel, little-endian, in
// whole bytes.
func (s flacSource) count(stream *flac.Stream, sum hash.Hash) iter.Seq2[int64, error] {
	return func(yield func(int64, error) bool) {
		n := int64(0)
		var packed []byte
		for {
			f, err := s.next(stream)
			if err == io.EOF {
				return
			}
			if err != nil {
				yield(n, err)
				return
			}
			n += int64(len(f.Subframes[0].Samples))
			packed = packed[:0]
			for i := range f.Subframes[0].Samples {
				for _, c := range f.Subframes {
					for shift := 0; shift < s.info.bits; shift += 8 {
						packed = append(packed, byte(c.Samples[i]>>shift))
					}
				}
			}
			sum.Write(packed)
			if n*int64(s.info.channels) > max(freeSamples, samplesPerByte*s.size) {
				yield(n, errDense)
				return
			}
			if !yield(n, nil) {
				return
			}
		}
	}
}

// Blocks implements Source.
func (s flacSource) Blocks(channel int, first, n int64) iter.Seq2[[]float64, error] {
	return func(yield func([]float64, error) bool) {
		if channel < 1 || channel > s.info.channels || first < 0 || n < 0 || n > s.info.frames-first {
			yield(nil, fmt.Errorf("channel %d, samples %d to %d were asked for; there are %d channels of %d", channel, first, first+n, s.info.channels, s.info.frames))
			return
		}
		stream, err := s.open()
		if err != nil {
			yield(nil, err)
			return
		}
		scale := 1 / float64(int64(1)<<(s.info.bits-1))
		var block []float64
		for n > 0 {
			f, err := s.next(stream)
			if err != nil {
				yield(nil, fmt.Errorf("can no longer be decoded: %w", err))
				return
			}
			samples := f.Subframes[channel-1].Samples
			skip := min(first, int64(len(samples)))
			first -= skip
			samples = samples[skip:]
			samples = samples[:min(n, int64(len(samples)))]
			n -= int64(len(samples))
			block = block[:0]
			for _, v := range samples {
				block = append(block, float64(v)*scale)
			}
			if len(block) > 0 && !yield(block, nil) {
				return
			}
		}
	}
}
