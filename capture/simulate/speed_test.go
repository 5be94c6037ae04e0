package simulate

import "testing"

// BenchmarkAudioLevel and BenchmarkCarrierLevel make 10 s of 48 kHz audio a
// round; the reported x is how many times faster than real time.
func BenchmarkAudioLevel(b *testing.B)   { benchmarkTake(b, DepthAudio) }
func BenchmarkCarrierLevel(b *testing.B) { benchmarkTake(b, DepthCarrier) }

func benchmarkTake(b *testing.B, depth Depth) {
	set := Healthy27MHzFM()
	set.Depth = depth
	bench := Bench{Generator: StandardGenerator(), Set: set, Card: PlainCard()}
	for b.Loop() {
		bench.Seed++
		bench.Take(-118, 10)
	}
	b.ReportMetric(10*float64(b.N)/b.Elapsed().Seconds(), "x")
}
