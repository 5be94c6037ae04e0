package simulate

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/dsp/fourier"
)

func TestTransformAgainstLibrary(t *testing.T) {
	for _, n := range []int{2, 4, 8, 64, 128, blockLen, blockLen * oversample} {
		rng := random(3, uint64(n))
		re, im, x := make([]float64, n), make([]float64, n), make([]complex128, n)
		for i := range x {
			re[i], im[i] = rng.NormFloat64(), rng.NormFloat64()
			x[i] = complex(re[i], im[i])
		}
		want := fourier.NewCmplxFFT(n).Coefficients(nil, x)
		newTransform(n).forward(re, im)
		for k, w := range want {
			assert.InDelta(t, real(w), re[k], 1e-9, "n %d bin %d", n, k)
			assert.InDelta(t, imag(w), im[k], 1e-9, "n %d bin %d", n, k)
		}
	}
}

func BenchmarkTransform(b *testing.B) {
	t := newTransform(blockLen)
	re, im := make([]float64, blockLen), make([]float64, blockLen)
	re[1] = 1
	for b.Loop() {
		t.forward(re, im)
		re[1] = 1
	}
}
