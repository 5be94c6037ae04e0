package simulate

import "hisspoint/capture/dft"

// twin filters two neighbouring blocks of real samples by one complex
// transform: the first block is the real part, the second, one hop later,
// the imaginary part. A filter with a real impulse response keeps them apart.
type twin struct{ z, sum []complex128 }

// twinLen is how many samples two neighbouring blocks span.
const twinLen = blockLen + hop

func newTwin() *twin {
	return &twin{make([]complex128, blockLen), make([]complex128, blockLen)}
}

func (t *twin) reset() { clear(t.sum) }

// add filters samples from to to of the span x, the others taken as silent,
// and adds the result's spectrum to the sum.
func (t *twin) add(x []float64, from, to int, h response) {
	inBlock := func(i int) int { return max(0, min(i, blockLen)) }
	clear(t.z)
	for i := inBlock(from); i < inBlock(to); i++ {
		t.z[i] = complex(x[i], 0)
	}
	for i := inBlock(from - hop); i < inBlock(to-hop); i++ {
		t.z[i] = complex(real(t.z[i]), x[hop+i])
	}
	dft.Complex(t.z)
	h.accumulate(t.sum, t.z)
}

// result transforms the sum back: samples skip to skip+hop of each block.
func (t *twin) result(dst []float64, skip int) []float64 {
	done := dft.InverseComplex(t.sum)[skip:][:hop]
	for _, z := range done {
		dst = append(dst, real(z))
	}
	for _, z := range done {
		dst = append(dst, imag(z))
	}
	return dst
}

// response is a filter over all bins of a block.
type response []complex128

// accumulate adds h*z to sum.
func (h response) accumulate(sum, z []complex128) {
	sum, z = sum[:len(h)], z[:len(h)]
	for k, v := range h {
		sum[k] += v * z[k]
	}
}
