package simulate

import "testing"

// BenchmarkAudioLevel and BenchmarkCarrierLevel make 10 s of audio a
// round; the reported x is how many times faster than real time.
func BenchmarkAudioLevel(b *testing.B)    { benchmarkTake(b, DepthAudio, 48000) }
func BenchmarkAudioLevel16k(b *testing.B) { benchmarkTake(b, DepthAudio, 16000) }
func BenchmarkCarrierLevel(b *testing.B)  { benchmarkTake(b, DepthCarrier, 48000) }

func benchmarkTake(b *testing.B, depth Depth, rate int) {
	set := Healthy27MHzFM()
	set.Depth = depth
	bench := Bench{Generator: StandardGenerator(), Set: set, Card: PlainCard()}
	bench.Card.Rate = rate
	for b.Loop() {
		bench.Seed++
		bench.Take(-118, 10)
	}
	b.ReportMetric(10*float64(b.N)/b.Elapsed().Seconds(), "x")
}
