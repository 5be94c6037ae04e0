package mains

import (
	"math/rand/v2"
	"testing"

	"hisspoint/analyze/internal/lines"
	"hisspoint/capture/dft"
)

// What a recording of 10 s costs, without hum and with a family of eight lines.
func BenchmarkFind(b *testing.B) {
	for _, n := range []int{0, 8} {
		r := rand.New(rand.NewPCG(1, 1))
		s := silence(10).white(r, noiseAt(20))
		if n > 0 {
			s.family(r, draw(r, n))
		}
		x := make([]float64, dft.Smooth(len(s)))
		copy(x, s)
		in := Input{Spectrum: &lines.Spectrum{R: dft.Forward(nil, x), N: len(s), M: len(x)}, Rate: testRate, Standard: toned}
		b.Run(map[int]string{0: "noise", 8: "family"}[n], func(b *testing.B) {
			for b.Loop() {
				in.Find()
			}
		})
	}
}
