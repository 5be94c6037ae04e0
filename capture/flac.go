package capture

import (
	"bufio"
	"errors"
	"fmt"
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
	for n, err := range s.count(stream) {
		s.info.frames, broken = n, err
	}
	if broken == errDense {
		return nil, broken
	}
	if s.info.frames == 0 {
		return nil, errors.New("holds no samples; record again")
	}
	o := Origin{File: name, Container: "flac", Encoding: "flac", Bits: s.info.bits, Channels: s.info.channels}
	o.Warnings = s.judge(int64(head.NSamples), broken)
	return spread(o, s.info.rate, s.info.frames, named{name, s}), nil
}

// judge compares what the header promises with what could be decoded.
func (s flacSource) judge(promised int64, broken error) []Warning {
	got := float64(s.info.frames) / float64(s.info.rate)
	switch {
	case promised == s.info.frames:
		// Whatever follows, a tag for example, is not sound.
		return nil
	case broken != nil:
		how := "damaged"
		if errors.Is(broken, io.ErrUnexpectedEOF) {
			how = "cut off"
		}
		return []Warning{{Code: "truncated", Text: fmt.Sprintf("%s after %.3f s; what comes before is used", how, got), AtS: []float64{got}}}
	case promised > s.info.frames:
		return []Warning{{Code: "truncated", Text: fmt.Sprintf("the header promises %.3f s but the file ends after %.3f s", float64(promised)/float64(s.info.rate), got), AtS: []float64{got}}}
	case promised != 0 && promised < s.info.frames:
		return []Warning{{Code: "header-repaired", Text: fmt.Sprintf("the header says %d samples and there are %d; all are read", promised, s.info.frames)}}
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

// Silence packs into almost nothing, so a small file can be made that takes
// hours to decode. An hour of digital silence in stereo, as encoders pack it by
// default, stays below this; a recording never comes near.
const (
	freeSamples    = 1 << 28
	samplesPerByte = 1 << 8
)

var errDense = errors.New("is nothing but silence, far more of it than a recording has; record again")

// count yields the frames decoded so far, and at the end what broke, if anything did.
func (s flacSource) count(stream *flac.Stream) iter.Seq2[int64, error] {
	return func(yield func(int64, error) bool) {
		n := int64(0)
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
			if n*int64(s.info.channels) > freeSamples+samplesPerByte*s.size {
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
