package fuzzing

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"hisspoint/capture/wav"
)

// FuzzWalk parses anything, reads every sample that Parse promises, and holds
// it to its word: all of them are there, inside the file, and integers are
// within full scale.
func FuzzWalk(f *testing.F) {
	for _, b := range zoo(f, "*.wav") {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) < MostInput {
			Frugal(t, func() { walkAndRead(t, b) })
		}
	})
}

func walkAndRead(t *testing.T, b []byte) {
	info, err := wav.Parse(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		if strings.Contains(err.Error(), "\n") {
			t.Fatalf("more than a line: %q", err)
		}
		return
	}
	end := info.Offset + info.Frames*int64(info.FrameBytes())
	if info.Frames < 1 || info.Offset < 12 || end > int64(len(b)) || info.Bits < 1 || info.Bits > 8*info.Bytes ||
		info.Channels < 1 || info.Channels > wav.MaxChannels || info.Rate < 1 || info.Rate > wav.MaxRate {
		t.Fatalf("impossible: %+v in %d bytes", info, len(b))
	}
	r := wav.NewReader(bytes.NewReader(b), info)
	for _, channel := range []int{1, info.Channels} {
		n := int64(0)
		for block, err := range r.Blocks(channel, 0, info.Frames) {
			if err != nil {
				t.Fatal(err)
			}
			n += int64(len(block))
			for _, v := range block {
				if info.Encoding != wav.Float && !(math.Abs(v) <= 1) {
					t.Fatalf("sample %v", v)
				}
			}
		}
		if n != info.Frames {
			t.Fatalf("%d of %d frames", n, info.Frames)
		}
	}
}
