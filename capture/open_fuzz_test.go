package capture

import (
	"bytes"
	"os"
	"path/filepath"
	"runtime/metrics"
	"strings"
	"testing"
	"time"
)

func allocated() uint64 {
	s := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}

// FuzzOpen opens anything, FLAC included, and reads its first and last
// channel. Inputs under 1 MiB must take less than 1 s and 64 MiB. A machine
// that is busy can hold anything up once, so time counts if exceeded thrice.
func FuzzOpen(f *testing.F) {
	files, err := filepath.Glob("../testdata/zoo/*")
	if err != nil || len(files) == 0 {
		f.Fatal("the zoo is missing", err)
	}
	for _, path := range files {
		if strings.HasSuffix(path, ".py") || strings.HasSuffix(path, ".json") {
			continue
		}
		b, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) >= 1<<20 {
			return
		}
		for try := 1; ; try++ {
			start, before := time.Now(), allocated()
			openAndRead(t, b)
			if n := allocated() - before; n > 64<<20 {
				t.Fatalf("allocated %d bytes", n)
			}
			took := time.Since(start)
			if took <= time.Second {
				return
			}
			if try == 3 {
				t.Fatalf("took %v", took)
			}
		}
	})
}

func openAndRead(t *testing.T, b []byte) {
	f, err := recordings(bytes.NewReader(b), int64(len(b)), "x")
	if err != nil {
		if strings.Contains(err.Error(), "\n") {
			t.Fatalf("more than a line: %q", err)
		}
		return
	}
	for _, r := range []Recording{f.Channels[0], f.Channels[len(f.Channels)-1]} {
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
