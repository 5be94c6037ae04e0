package wav

import (
	"fmt"
	"io"
	"iter"
	"sync"
)

// Blocks are of this many frames, fewer where a frame is large.
const (
	blockFrames = 1 << 14
	blockBytes  = 1 << 18
)

// Reader hands out the samples of a parsed file. It is safe for concurrent
// use as far as its io.ReaderAt is.
type Reader struct {
	Info
	r io.ReaderAt
}

// NewReader reads the samples that info, from Parse, found in r.
func NewReader(r io.ReaderAt, info Info) *Reader { return &Reader{Info: info, r: r} }

type buffers struct {
	raw     []byte
	samples []float64
	small   small
}

var pool = sync.Pool{New: func() any {
	return &buffers{raw: make([]byte, blockBytes), samples: make([]float64, blockFrames)}
}}

// Blocks yields frames first to first+n of a channel counted from 1, full
// scale +-1. Integers are divided by 2^(bits-1) of their container (valid bits
// lie at its top), 8-bit ones after 128 is taken off; float samples come as
// they are stored, beyond 1 and not-a-number included. A block is valid until
// the next one is asked for. A file that has become shorter, or cannot be
// read, ends the blocks with an error.
func (r *Reader) Blocks(channel int, first, n int64) iter.Seq2[[]float64, error] {
	return func(yield func([]float64, error) bool) {
		if channel < 1 || channel > r.Channels || first < 0 || n < 0 || n > r.Frames-first {
			yield(nil, fmt.Errorf("channel %d, frames %d to %d were asked for; there are %d channels of %d frames", channel, first, first+n, r.Channels, r.Frames))
			return
		}
		b := pool.Get().(*buffers)
		defer pool.Put(b)
		frame := r.FrameBytes()
		decode, skip := r.decoder(), (channel-1)*r.Bytes
		most := int64(min(blockFrames, blockBytes/frame))
		for n > 0 {
			k := min(n, most)
			raw := b.raw[:int(k)*frame]
			if err := r.fill(raw, r.Offset+first*int64(frame)); err != nil {
				yield(nil, err)
				return
			}
			samples := b.samples[:k:k]
			if decode != nil {
				decode(samples, raw[skip:], frame)
			} else if err := b.small.decode(samples, raw[skip:], frame, r.Bytes); err != nil {
				yield(nil, err)
				return
			}
			if !yield(samples, nil) {
				return
			}
			first, n = first+k, n-k
		}
	}
}

func (r *Reader) fill(raw []byte, at int64) error {
	got, err := r.r.ReadAt(raw, at)
	if got == len(raw) {
		return nil
	}
	if err == nil || err == io.EOF {
		return fmt.Errorf("ended at byte %d while it was being read; it was longer when opened, so wait until it is written and try again", at+int64(got))
	}
	return fmt.Errorf("cannot be read at byte %d: %w", at+int64(got), err)
}
