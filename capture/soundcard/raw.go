package soundcard

import (
	"fmt"
	"io"
	"sync"
)

// raw hands out samples that another program pipes in.
type raw struct {
	device Device
	r      io.Reader
	bytes  []byte
	rest   []byte
	once   sync.Once
	closed chan struct{}
}

// Raw is an input that reads little-endian samples from r: signed integers of 16,
// 24 or 32 bits, or 32-bit float, interleaved. It ends with io.EOF where r does.
func Raw(r io.Reader, f Format) (Input, error) {
	switch {
	case f.Rate < 1000 || f.Rate > 768000:
		return nil, fmt.Errorf("standard input: a sample rate of %d Hz cannot be right; say it as --rate 48000", f.Rate)
	case f.Channels < 1 || f.Channels > 32:
		return nil, fmt.Errorf("standard input: %d channels cannot be right; say them as --channels 2", f.Channels)
	case f.Float && f.Bits != 32, !f.Float && f.Bits != 16 && f.Bits != 24 && f.Bits != 32:
		return nil, fmt.Errorf("standard input: samples of %d bits cannot be read; say --bits 16, 24, 32 or float", f.Bits)
	}
	d := Device{ID: "-", Name: "standard input", Format: f, Default: true}
	return &raw{device: d, r: r, bytes: make([]byte, 1<<14), closed: make(chan struct{})}, nil
}

func (x *raw) Device() Device { return x.device }
func (x *raw) Format() Format { return x.device.Format }

func (x *raw) Read(block []float64) (int, error) {
	f := x.device.Format
	frame := f.width() * f.Channels
	most := min(len(block)/f.Channels*frame, len(x.bytes)/frame*frame)
	for {
		select {
		case <-x.closed:
			return 0, ErrClosed
		default:
		}
		n := copy(x.bytes, x.rest)
		got, err := x.r.Read(x.bytes[n:most])
		whole := (n + got) / frame * frame
		out, _ := f.decode(block[:0], x.bytes[:whole])
		x.rest = append(x.rest[:0], x.bytes[whole:n+got]...)
		switch {
		case len(out) > 0:
			return len(out), nil
		case err == io.EOF:
			return 0, io.EOF
		case err != nil:
			return 0, fmt.Errorf("standard input: cannot be read: %w", err)
		}
	}
}

func (x *raw) Close() error {
	x.once.Do(func() { close(x.closed) })
	return nil
}
