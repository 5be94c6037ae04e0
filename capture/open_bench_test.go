package capture_test

import (
	"math"
	"path/filepath"
	"testing"

	"hisspoint/capture"
	"hisspoint/capture/wav"
)

// BenchmarkOpen is what provenance costs: opening ten seconds of 48 kHz,
// 16 bits, with the SHA-256 of the file, and reading no sample.
func BenchmarkOpen(b *testing.B) {
	x := make([]float64, 480000)
	for i := range x {
		x[i] = 0.5 * math.Sin(2*math.Pi*float64(i)/48)
	}
	path := filepath.Join(b.TempDir(), "tone.wav")
	if err := wav.WriteFile(path, wav.Format{Rate: 48000, Bits: 16}, x); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(960044)
	b.ReportAllocs()
	for b.Loop() {
		f, err := capture.Open(path)
		if err != nil {
			b.Fatal(err)
		}
		f.Close()
	}
}
