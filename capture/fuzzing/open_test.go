package fuzzing

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/mewkiz/flac/frame"

	"hisspoint/capture"
)

// FuzzOpen opens anything, FLAC included, and reads its first and last channel.
func FuzzOpen(f *testing.F) {
	for _, b := range zoo(f, "*") {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) < MostInput {
			Bounded(t, func() { openAndRead(t, b) })
		}
	})
}

func zoo(f *testing.F, pattern string) [][]byte {
	files, err := filepath.Glob("../../testdata/zoo/" + pattern)
	if err != nil || len(files) == 0 {
		f.Fatal("the zoo is missing", err)
	}
	var out [][]byte
	for _, path := range files {
		if strings.HasSuffix(path, ".py") || strings.HasSuffix(path, ".json") {
			continue
		}
		b, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		out = append(out, b)
	}
	return out
}

// FuzzFLAC gives the decoder frames whose checksums are right, whatever else
// they hold: with wrong ones it would look no further.
func FuzzFLAC(f *testing.F) {
	for _, b := range zoo(f, "flac*.flac") {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) < MostInput {
			b = signed(bytes.Clone(b))
			Bounded(t, func() { openAndRead(t, b) })
		}
	})
}

// signed puts the checksums of RFC 9639, 9.1.8 and 9.3, into the frames of a
// FLAC file whose STREAMINFO is its only metadata.
func signed(b []byte) []byte {
	const metadata, mostFrames = 42, 64
	if len(b) < metadata {
		return b
	}
	copy(b, "fLaC\x80\x00\x00\x22")
	at := metadata
	for range mostFrames {
		r := bytes.NewReader(b[at:])
		fr, err := frame.New(r)
		if err != nil && strings.Contains(err.Error(), "CRC-8") {
			end := len(b) - r.Len() - 1
			b[end] = crc8(b[at:end])
			r.Reset(b[at:])
			fr, err = frame.New(r)
		}
		if err != nil {
			return b
		}
		if err := parse(fr); err != nil {
			if !strings.Contains(err.Error(), "CRC-16") {
				return b
			}
			end := len(b) - r.Len() - 2
			binary.BigEndian.PutUint16(b[end:], crc16(b[at:end]))
		}
		at = len(b) - r.Len()
	}
	return b
}

func parse(f *frame.Frame) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%v", p)
		}
	}()
	return f.Parse()
}

func crc8(b []byte) (crc byte) {
	for _, v := range b {
		crc ^= v
		for range 8 {
			top := crc >> 7
			crc = crc<<1 ^ 0x07*top
		}
	}
	return crc
}

func crc16(b []byte) (crc uint16) {
	for _, v := range b {
		crc ^= uint16(v) << 8
		for range 8 {
			top := crc >> 15
			crc = crc<<1 ^ 0x8005*top
		}
	}
	return crc
}

func openAndRead(t *testing.T, b []byte) {
	f, err := capture.Read(bytes.NewReader(b), int64(len(b)), "x")
	if err != nil {
		if strings.ContainsAny(err.Error(), "\n\r") {
			t.Fatalf("more than a line: %q", err)
		}
		return
	}
	for i, r := range f.Channels {
		if i > 0 && i < len(f.Channels)-1 {
			continue
		}
		n := int64(0)
		for block, err := range r.Blocks() {
			if err != nil {
				t.Fatal(err)
			}
			n += int64(len(block))
		}
		if n != r.Count || n < 1 || r.Rate < 1 || r.Origin.Bits < 1 {
			t.Fatalf("%d frames of %+v", n, r)
		}
	}
}
