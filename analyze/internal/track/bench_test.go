package track

import (
	"math/rand/v2"
	"testing"
)

// One curve of an hour's track in which nothing changes, which takes longest.
func BenchmarkStepsOfAnHour(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	x := make([]float64, int(3600/Length(3600)))
	for i := range x {
		x[i] = r.NormFloat64()
	}
	for b.Loop() {
		Steps(x, 1)
	}
}

func BenchmarkScan10s48k(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	x := make([]float64, 480000)
	for i := range x {
		x[i] = 0.1 * r.NormFloat64()
	}
	for b.Loop() {
		Scan(x, 48000)
	}
}
