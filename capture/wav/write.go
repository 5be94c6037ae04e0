package wav

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
)

// Format is how a file is written.
type Format struct {
	Rate     int  // frames a second, 1 to MaxRate
	Channels int  // 1 to MaxChannels
	Bits     int  // 8, 16, 24 or 32; with Float 32 or 64
	Float    bool // IEEE 754 samples instead of integers
}

func (f Format) check() error {
	switch {
	case f.Rate < 1 || f.Rate > MaxRate:
		return fmt.Errorf("a sample rate of %d Hz cannot be written, only 1 to %d", f.Rate, MaxRate)
	case f.Channels < 1 || f.Channels > MaxChannels:
		return fmt.Errorf("%d channels cannot be written, only 1 to %d", f.Channels, MaxChannels)
	case f.Float && f.Bits != 32 && f.Bits != 64:
		return fmt.Errorf("float samples of %d bits cannot be written, only 32 or 64", f.Bits)
	case !f.Float && f.Bits != 8 && f.Bits != 16 && f.Bits != 24 && f.Bits != 32:
		return fmt.Errorf("integer samples of %d bits cannot be written, only 8, 16, 24 or 32", f.Bits)
	}
	return nil
}

// ErrNotFinite is returned for samples that are NaN or infinite, or too large
// for 32-bit float.
var ErrNotFinite = errors.New("a sample is not a finite number")

// ErrTooLong is returned where a file would pass 4 GiB, the most that a RIFF
// header can state.
var ErrTooLong = errors.New("the file would pass 4 GiB, the most a WAV file can hold; split it or use fewer bits")

// A file that is cut off at any moment loses at most what is in this buffer.
const flushBytes = 1 << 16

// Writer writes a WAVE file whose header is true all the time: sound reaches
// the file first, then the sizes, after every 64 KiB and at least once a
// second of audio. It is not safe for concurrent use.
type Writer struct {
	w        io.WriteSeeker
	format   Format
	frame    int
	buffer   []byte
	flushAt  int
	sizes    []int64 // where the header states sizes: RIFF, data and, with float, fact
	head     int64   // length of the header
	data     int64   // bytes of sound in the file
	stated   int64   // of them, those that the header tells of
	top      []byte  // the header
	err      error   // the first failure; nothing is written after it
	finished bool
}

// NewWriter writes the header of an empty file at the start of w. Integer
// samples beyond full scale are saturated. More than two channels are written
// as WAVE_FORMAT_EXTENSIBLE without speaker positions.
func NewWriter(w io.WriteSeeker, f Format) (*Writer, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	frame := f.Channels * f.Bits / 8
	second := f.Rate * frame
	x := &Writer{w: w, format: f, frame: frame, flushAt: max(1, min(flushBytes, second)/frame) * frame}
	x.buffer = make([]byte, 0, max(x.flushAt, 128))
	x.header()
	if _, err := w.Seek(0, io.SeekStart); err != nil {
		return nil, fmt.Errorf("cannot write: %w", err)
	}
	if err := x.put(x.buffer); err != nil {
		return nil, err
	}
	x.top = slices.Clone(x.buffer)
	x.head, x.buffer = int64(len(x.buffer)), x.buffer[:0]
	return x, nil
}

// header builds the header of an empty file in the buffer.
func (x *Writer) header() {
	f, le := x.format, binary.LittleEndian
	tag, extra := uint16(tagPCM), []byte(nil)
	if f.Float {
		tag, extra = tagFloat, []byte{0, 0}
	}
	if f.Channels > 2 {
		extra = []byte{22, 0}
		extra = le.AppendUint16(extra, uint16(f.Bits))
		extra = le.AppendUint32(extra, 0)
		extra = le.AppendUint32(extra, uint32(tag))
		extra = append(append(extra, 0x00, 0x00, 0x10, 0x00), tailWave...)
		tag = tagExtensible
	}
	b := append(x.buffer, "RIFF\x00\x00\x00\x00WAVEfmt "...)
	b = le.AppendUint32(b, uint32(16+len(extra)))
	b = le.AppendUint16(b, tag)
	b = le.AppendUint16(b, uint16(f.Channels))
	b = le.AppendUint32(b, uint32(f.Rate))
	b = le.AppendUint32(b, uint32(f.Rate*x.frame))
	b = le.AppendUint16(b, uint16(x.frame))
	b = le.AppendUint16(b, uint16(f.Bits))
	b = append(b, extra...)
	fact := int64(0)
	if f.Float {
		b = append(b, "fact\x04\x00\x00\x00"...)
		fact = int64(len(b))
		b = le.AppendUint32(b, 0)
	}
	b = append(b, "data\x00\x00\x00\x00"...)
	x.sizes = []int64{4, int64(len(b) - 4)}
	if fact > 0 {
		x.sizes = append(x.sizes, fact)
	}
	le.PutUint32(b[4:], uint32(len(b)-8))
	x.buffer = b
}

// Write appends frames, interleaved, full scale +-1. It takes a whole number
// of frames and refuses the block as a whole if any of it is not finite.
func (x *Writer) Write(block []float64) error {
	if x.err != nil {
		return x.err
	}
	if x.finished {
		return errors.New("cannot write: the file is closed already")
	}
	if len(block)%x.format.Channels != 0 {
		return fmt.Errorf("%d samples are not a whole number of frames of %d channels", len(block), x.format.Channels)
	}
	limit := math.MaxFloat64
	if x.format.Float && x.format.Bits == 32 {
		limit = math.MaxFloat32
	}
	for _, v := range block {
		if !(math.Abs(v) <= limit) {
			return ErrNotFinite
		}
	}
	bytes := int64(len(block)) * int64(x.format.Bits/8)
	if x.head+x.data+int64(len(x.buffer))+bytes+1 > math.MaxUint32-8 {
		return ErrTooLong
	}
	width := x.format.Bits / 8
	for len(block) > 0 {
		k := min(len(block), (x.flushAt-len(x.buffer))/width)
		x.buffer = x.format.encode(x.buffer, block[:k])
		block = block[k:]
		if len(x.buffer) == x.flushAt {
			if err := x.Flush(); err != nil {
				return err
			}
		}
	}
	return nil
}

// Flush brings what was written so far into the file and makes its header true.
func (x *Writer) Flush() error {
	if x.err != nil || len(x.buffer) == 0 {
		return x.err
	}
	n, err := x.w.Write(x.buffer)
	if err == nil && n < len(x.buffer) {
		err = io.ErrShortWrite
	}
	if err != nil {
		x.err = fmt.Errorf("cannot write: %w", err)
		x.mend(int64(n))
		return x.err
	}
	x.data += int64(len(x.buffer))
	x.buffer = x.buffer[:0]
	if x.state() != nil {
		x.mend(0)
	}
	return x.err
}

// mend makes a file whole of which only n bytes more could be written: it ends with its
// last whole frame, and the header says so. Where that fails, too, the header tells of
// what it told of before.
func (x *Writer) mend(n int64) {
	end := x.data + n/int64(x.frame)*int64(x.frame)
	if end%2 == 1 { // there may be no room for the byte that would fill it up
		end -= int64(x.frame)
	}
	file, ok := x.w.(interface{ Truncate(size int64) error })
	if !ok {
		return
	}
	if file.Truncate(x.head+end) != nil {
		return
	}
	failed := x.err
	x.err, x.data = nil, end
	if x.state() != nil {
		file.Truncate(x.head + x.stated)
	}
	x.err = failed
}

// Frames is how many frames the file holds by its own header: those that can be read,
// whatever happens to the program now.
func (x *Writer) Frames() int64 { return x.stated / int64(x.frame) }

// state writes the header with its sizes and returns to the end of the sound.
func (x *Writer) state() error {
	pad := x.data % 2
	values := []int64{x.head - 8 + x.data + pad, x.data, x.data / int64(x.frame)}
	for i, at := range x.sizes {
		binary.LittleEndian.PutUint32(x.top[at:], uint32(values[i]))
	}
	if err := x.seek(0); err != nil {
		return err
	}
	if err := x.put(x.top); err != nil { // at once, so that no size contradicts another
		return err
	}
	x.stated = x.data
	return x.seek(x.head + x.data)
}

// Close brings the rest into the file. It does not close what it writes to.
func (x *Writer) Close() error {
	if x.finished {
		return x.err
	}
	if err := x.Flush(); err != nil {
		return err
	}
	x.finished = true
	if x.data%2 == 1 {
		return x.put([]byte{0})
	}
	return nil
}

func (x *Writer) put(b []byte) error {
	n, err := x.w.Write(b)
	if err == nil && n < len(b) {
		err = io.ErrShortWrite
	}
	if err != nil {
		x.err = fmt.Errorf("cannot write: %w", err)
	}
	return x.err
}

func (x *Writer) seek(at int64) error {
	if _, err := x.w.Seek(at, io.SeekStart); err != nil {
		x.err = fmt.Errorf("cannot write: %w", err)
	}
	return x.err
}
