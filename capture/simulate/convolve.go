package simulate

// twin filters two neighbouring blocks of real samples by one complex
// transform: the first block is the real part, the second, one hop later,
// the imaginary part. A filter with a real impulse response keeps them apart.
type twin struct {
	fft          *transform
	re, im       []float64
	sumRe, sumIm []float64
}

// twinLen is how many samples two neighbouring blocks span.
const twinLen = blockLen + hop

func newTwin() *twin {
	b := func() []float64 { return make([]float64, blockLen) }
	return &twin{newTransform(blockLen), b(), b(), b(), b()}
}

func (t *twin) reset() {
	clear(t.sumRe)
	clear(t.sumIm)
}

// add filters samples from to to of the span x, the others taken as silent,
// and adds the result's spectrum to the sum.
func (t *twin) add(x []float64, from, to int, h response) {
	window(t.re, x[:blockLen], from, to)
	window(t.im, x[hop:], from-hop, to-hop)
	t.fft.forward(t.re, t.im)
	h.accumulate(t.sumRe, t.sumIm, t.re, t.im)
}

// window copies samples from to to of src and clears the rest.
func window(dst, src []float64, from, to int) {
	from, to = max(0, min(from, len(src))), max(0, min(to, len(src)))
	clear(dst[:from])
	if to > from {
		copy(dst[from:to], src[from:to])
	}
	clear(dst[max(from, to):])
}

// result transforms the sum back: samples skip to skip+hop of each block.
func (t *twin) result(dst []float64, skip int) []float64 {
	t.fft.forward(t.sumIm, t.sumRe)
	dst = append(dst, t.sumRe[skip:skip+hop]...)
	return append(dst, t.sumIm[skip:skip+hop]...)
}

// response is a filter over all bins of a block, with the 1/blockLen of the
// inverse transform in it.
type response struct{ re, im []float64 }

func newResponse(h []complex128) response {
	r := response{make([]float64, len(h)), make([]float64, len(h))}
	for k, v := range h {
		r.re[k], r.im[k] = real(v)/blockLen, imag(v)/blockLen
	}
	return r
}

// accumulate adds h*x to sum.
func (h response) accumulate(sumRe, sumIm, re, im []float64) {
	n := len(h.re)
	hr, hi, sumRe, sumIm, re, im := h.re, h.im[:n], sumRe[:n], sumIm[:n], re[:n], im[:n]
	for k := range hr {
		sumRe[k] += hr[k]*re[k] - hi[k]*im[k]
		sumIm[k] += hr[k]*im[k] + hi[k]*re[k]
	}
}
