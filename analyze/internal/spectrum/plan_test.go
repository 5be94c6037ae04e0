package spectrum

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/dsp/fourier"
)

// The library's transform is the other opinion, at lengths whose passes are of
// every radix, in every order, and at ones with larger primes in them.
func TestTransformsAgainstTheLibrary(t *testing.T) {
	for _, m := range []int{2, 6, 8, 14, 22, 50, 96, 162, 500, 1024, 1250, 3600, 6000, 7776, 15360, 28 * 45, 26 * 121} {
		x, f := noise(uint64(m), m), fourier.NewFFT(m)
		near := 1e-15 * math.Sqrt(float64(m)) * 10
		got, want := Forward(nil, x), f.Coefficients(nil, x)
		for k := range want {
			if cmplx.Abs(got[k]-want[k]) > near*5 {
				t.Fatalf("length %d, bin %d: %v, the library has %v", m, k, got[k], want[k])
			}
		}
		keep := append([]complex128(nil), want...)
		want[0] += 3i // which no real signal has, and which counts for nothing
		back := Inverse(nil, want, m)
		for i := range x {
			if math.Abs(back[i]-x[i]) > near {
				t.Fatalf("length %d, sample %d: %g came back as %g", m, i, x[i], back[i])
			}
		}
		assert.Equal(t, keep[1:], want[1:], "the coefficients stay")
	}
}

func BenchmarkForward240000(b *testing.B) {
	x := noise(1, 240000)
	var buffer []complex128
	for b.Loop() {
		buffer = Forward(buffer, x)
	}
}
