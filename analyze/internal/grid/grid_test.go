package grid

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func noise(n int, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 9))
	x := make([]float64, n)
	for i := range x {
		x[i] = 0.02 * r.NormFloat64()
	}
	return x
}

// The transform against its defining sum (ISO/IEC 14496-3, 4.6.11; Vorbis I, 4.3.7).
func TestTransformIsItsDefiningSum(t *testing.T) {
	const n = 48
	m := newMDCT(n, 12, 24)
	x := noise(2*n, 1)
	got := m.frame(x)
	for k := range n {
		sum := 0.0
		for i, v := range x {
			sum += m.window[i] * v * math.Cos(math.Pi/n*(float64(i)+0.5+n/2)*(float64(k)+0.5))
		}
		assert.InDelta(t, sum*math.Sqrt(2.0/n), got[k], 1e-14, "coefficient %d", k)
	}
}

// The filter bank against its defining sums (ISO/IEC 11172-3, C.1.3 and C.1.5.3), whole
// and with the low bands alone.
func TestHybridIsItsDefiningSum(t *testing.T) {
	for _, n := range []int{lowBands, 20, bands} {
		h, x := newHybrid(n), noise(taps, 2)
		got := make([]float64, n)
		h.slot(got, x)
		for b := range n {
			sum := 0.0 // of some 10^4: the prototype's whole numbers
			for i := range taps {
				sum += h.window[i] * x[taps-1-i] * math.Cos(float64((2*b+1)*(i%64-16))*math.Pi/64)
			}
			assert.InDelta(t, sum, got[b], 1e-9, "band %d of %d", b, n)
		}
		s := noise(slots*n, 3)
		plain := *h.hybridTables
		plain.cs, plain.ca = [8]float64{1, 1, 1, 1, 1, 1, 1, 1}, [8]float64{} // without butterflies
		h.hybridTables = &plain
		out := h.granule(s)
		for b := range n {
			for m := range perRun {
				sum := 0.0
				for i := range slots {
					v := s[i*n+b] * h.long[i] * math.Cos(math.Pi/(2*slots)*float64((2*i+1+perRun)*(2*m+1)))
					if i%2 == 1 && b%2 == 1 {
						v = -v
					}
					sum += v
				}
				assert.InDelta(t, sum, out[b*perRun+m], 1e-14, "band %d of %d, coefficient %d", b, n, m)
			}
		}
	}
}

// What aliases in one frame cancels in the next: w_i^2 + w_(n+i)^2 = 1 (Princen and
// Bradley 1986).
func TestWindowsAreComplementary(t *testing.T) {
	for _, m := range []*mdct{newMDCT(1024, 0, 1024), newMDCT(960, 420, 120)} {
		for i := range m.n {
			assert.InDelta(t, 1, m.window[i]*m.window[i]+m.window[m.n+i]*m.window[m.n+i], 1e-12)
		}
	}
}

// A sine in the middle of a coefficient's stretch of frequency is in that coefficient
// and those beside it: band and line of layer III count up in frequency, as 576 equal
// stretches (ISO/IEC 11172-3, 2.4.3.4). White noise keeps its variance.
func TestHybridPutsFrequenciesInOrder(t *testing.T) {
	h := newHybrid(bands)
	for _, line := range []int{5, 40, 100, 259, 430, 570} {
		x := make([]float64, h.span())
		for i := range x {
			x[i] = math.Sin(math.Pi * (float64(line) + 0.5) / 576 * float64(i))
		}
		all, there := 0.0, 0.0
		for k, v := range h.frame(x) {
			all += v * v
			if k >= line-1 && k <= line+1 {
				there += v * v
			}
		}
		assert.Greater(t, there/all, 0.97, "line %d", line)
	}
	x, sum := noise(40*h.span(), 3), 0.0
	for i := range 40 {
		for _, v := range h.frame(x[i*h.span():]) {
			sum += v * v
		}
	}
	assert.InEpsilon(t, 0.02*0.02, sum/40/576, 0.03)
}

// coded is x as a coder of that transform gives it back: each coefficient rounded to
// a step, frames overlapped and added, by the inverse's defining sum.
func coded(x []float64, m *mdct, step float64, offset int) []float64 {
	n := m.n
	basis := make([][]float64, n)
	for k := range basis {
		basis[k] = make([]float64, 2*n)
		for i := range basis[k] {
			basis[k][i] = m.window[i] * math.Sqrt(2/float64(n)) * math.Cos(math.Pi/float64(n)*(float64(i)+0.5+float64(n)/2)*(float64(k)+0.5))
		}
	}
	y := make([]float64, len(x))
	for at := offset; at+2*n <= len(x); at += n {
		for k, v := range m.frame(x[at:]) {
			if q := step * math.Round(v/step); q != 0 {
				for i, b := range basis[k] {
					y[at+i] += q * b
				}
			}
		}
	}
	return y[offset+n:]
}

func TestGridOfARoundedTransformIsFound(t *testing.T) {
	const rate = 44100
	x := noise(2*rate, 5)
	for i := range x {
		x[i] += 0.2 * math.Sin(2*math.Pi*1000/rate*float64(i))
	}
	_, ok := Find(x, rate, 1000)
	assert.False(t, ok, "sound that was never coded")
	f, ok := Find(coded(x, newMDCT(1024, 0, 1024), 0.06, 333), rate, 1000)
	require.True(t, ok)
	assert.Equal(t, AACOrVorbis, f.Coder)
	assert.Greater(t, f.Contrast, 1.0)
}

func TestShortSoundIsLeftAlone(t *testing.T) {
	_, ok := Find(noise(1000, 1), 48000, 0)
	assert.False(t, ok)
	_, ok = Find(nil, 8000, 0)
	assert.False(t, ok)
	_, ok = Find(make([]float64, 200000), 48000, 0)
	assert.False(t, ok, "silence")
}
