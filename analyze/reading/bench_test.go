package reading

import (
	"testing"

	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
)

// BenchmarkMeasure reads ten seconds of an FM set near 12 dB SINAD at 48 kHz.
func BenchmarkMeasure(b *testing.B) {
	bench := simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: simulate.PlainCard(), Seed: 1}
	r := capture.FromSamples("bench", 48000, bench.Take(-118, 10))
	b.SetBytes(2 * r.Count)
	b.ResetTimer()
	for range b.N {
		if _, err := Measure(r, job.Reading{}); err != nil {
			b.Fatal(err)
		}
	}
}
