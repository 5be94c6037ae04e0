package grid

import (
	"math"
	"sync"
)

const (
	bands  = 32  // of the polyphase filter
	taps   = 512 // of its prototype
	slots  = 36  // samples of a band under one long window
	perRun = slots / 2
)

// hybrid is the filter bank of MPEG layer III (ISO/IEC 11172-3, C.1.3 and C.1.5.3,
// long blocks): 32 bands by a polyphase filter of 512 taps,
//
//	S_b[t] = sum_i h_i x[32 t + 511 - i] cos((2b+1)(i-16) pi/64)
//
// each odd sample of an odd band turned in sign, 36 of them under a sine window to
// 18 coefficients, and the aliases between neighbouring bands taken out by eight
// butterflies each. White noise keeps its variance.
type hybrid struct {
	*hybridTables
	bands int // that are made, from the lowest
	s     []float64
	out   []float64
}

type hybridTables struct {
	window [taps]float64             // h_i (-1)^(i div 64): the cosine's period is folded
	cosine [bands][bands / 2]float64 // cos((2b+1) j pi/64), at j and b
	long   [slots]float64
	lapped [perRun][perRun]float64
	cs, ca [8]float64
}

var hybridTable = sync.OnceValue(func() *hybridTables {
	t := &hybridTables{}
	power := 0.0
	for i, v := range synthesisHalf {
		t.window[i] = float64(v)
		if i > 0 && i < taps/2 { // symmetric without those signs
			t.window[taps-i] = -float64(v)
			if i%64 == 0 {
				t.window[taps-i] = float64(v)
			}
		}
	}
	for i := range t.window {
		c := math.Cos(float64(2*bands/2+1) * float64(i%64-16) * math.Pi / 64)
		power += t.window[i] * t.window[i] * c * c
	}
	for j := range t.cosine {
		for b := range t.cosine[j] {
			t.cosine[j][b] = math.Cos(float64((2*b+1)*j) * math.Pi / 64)
		}
	}
	scale := 1 / math.Sqrt(power) / 3 // the windowed cosines' squares add up to 9
	for i := range t.long {
		t.long[i] = scale * math.Sin(math.Pi/slots*(float64(i)+0.5))
	}
	for i := range t.lapped {
		for m := range t.lapped[i] {
			t.lapped[i][m] = math.Cos(math.Pi / (4 * perRun) * float64((2*i+1)*(2*m+1)))
		}
	}
	for i, c := range [8]float64{-0.6, -0.535, -0.33, -0.185, -0.095, -0.041, -0.0142, -0.0037} { // table 3-B.9
		t.cs[i] = 1 / math.Sqrt(1+c*c)
		t.ca[i] = c / math.Sqrt(1+c*c)
	}
	return t
})

func newHybrid(n int) *hybrid {
	return &hybrid{hybridTables: hybridTable(), bands: n, s: make([]float64, slots*n), out: make([]float64, perRun*n)}
}

func (h *hybrid) hop() int { return perRun * bands }

func (h *hybrid) span() int { return taps + (slots-1)*bands }

// slot gives one sample of each band from the 512 samples of x.
func (h *hybrid) slot(dst, x []float64) {
	var z [64]float64
	x = x[:taps]
	for i := 0; i < taps; i += 64 {
		w := h.window[i : i+64]
		for j, v := range w {
			z[j] += v * x[taps-1-i-j]
		}
	}
	// The cosine is even about i = 16 and odd about 48; of what is left, even and odd
	// places are alike, but for the sign, in the bands b and 31-b.
	var y [bands]float64
	y[0] = z[16]
	for j := 1; j <= 16; j++ {
		y[j] = z[16+j] + z[16-j]
	}
	for j := 17; j < bands; j++ {
		y[j] = z[16+j] - z[80-j]
	}
	var even, odd [bands / 2]float64
	half := min(len(dst), bands/2)
	for j := 0; j < bands; j += 2 {
		c, d := h.cosine[j][:half], h.cosine[j+1][:half]
		for b := range c {
			even[b] += y[j] * c[b]
			odd[b] += y[j+1] * d[b]
		}
	}
	for b := range dst {
		if b < half {
			dst[b] = even[b] + odd[b]
		} else {
			dst[b] = even[bands-1-b] - odd[bands-1-b]
		}
	}
}

// granule gives the coefficients of the 36 slots in s: as those of mdct, a fold of the
// four quarters and a DCT-IV, for each band.
func (h *hybrid) granule(s []float64) []float64 {
	const quarter = perRun / 2
	clear(h.out)
	for b := range h.bands {
		var v [slots]float64
		for i := range v {
			v[i] = s[i*h.bands+b] * h.long[i]
			if i&b&1 == 1 {
				v[i] = -v[i]
			}
		}
		out := h.out[b*perRun:][:perRun]
		for i := range quarter {
			u, w := -v[3*quarter-1-i]-v[3*quarter+i], v[i]-v[perRun-1-i]
			first, second := &h.lapped[i], &h.lapped[quarter+i]
			for m := range out {
				out[m] += u*first[m] + w*second[m]
			}
		}
	}
	for b := 1; b < h.bands; b++ {
		for i := range h.cs {
			u, d := &h.out[b*perRun-1-i], &h.out[b*perRun+i]
			*u, *d = *u*h.cs[i]+*d*h.ca[i], *d*h.cs[i]-*u*h.ca[i]
		}
	}
	return h.out
}

// frame gives the coefficients of a granule whose first slot begins with x, until the
// next call.
func (h *hybrid) frame(x []float64) []float64 {
	for i := range slots {
		h.slot(h.s[i*h.bands:(i+1)*h.bands], x[i*bands:])
	}
	return h.granule(h.s)
}
