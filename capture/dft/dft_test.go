package dft

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"
)

// bound is the error that the package promises, as a share of the result's root mean square.
func bound(m int) float64 { return 4 * 0x1p-53 * math.Log2(float64(m)) }

func noise(seed uint64, n int) []float64 {
	r := rand.New(rand.NewPCG(seed, 2))
	x := make([]float64, n)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	return x
}

func complexNoise(seed uint64, n int) []complex128 {
	x, z := noise(seed, 2*n), make([]complex128, n)
	for i := range z {
		z[i] = complex(x[2*i], x[2*i+1])
	}
	return z
}

// rms is the root of the mean of |a - b|^2, b taken as nothing where it is nil.
func rms(a, b []complex128) float64 {
	sum := 0.0
	for i, v := range a {
		if b != nil {
			v -= b[i]
		}
		sum += real(v)*real(v) + imag(v)*imag(v)
	}
	return math.Sqrt(sum / float64(len(a)))
}

func asComplex(x []float64) []complex128 {
	z := make([]complex128, len(x))
	for i, v := range x {
		z[i] = complex(v, 0)
	}
	return z
}

// total adds without losing the small parts (Neumaier, Z. angew. Math. Mech. 54, 1974):
// a plain sum of 2^20 values would be further off than the transform.
type total struct{ sum, lost float64 }

func (t *total) add(v float64) {
	s := t.sum + v
	if math.Abs(t.sum) >= math.Abs(v) {
		t.lost += t.sum - s + v
	} else {
		t.lost += v - s + t.sum
	}
	t.sum = s
}

// direct is bin k of the transform of z by the sum that defines it.
func direct(z []complex128, k int) complex128 {
	var re, im total
	for t, v := range z {
		sin, cos := math.Sincos(-2 * math.Pi * float64(k*t%len(z)) / float64(len(z)))
		re.add(real(v) * cos)
		re.add(-imag(v) * sin)
		im.add(real(v) * sin)
		im.add(imag(v) * cos)
	}
	return complex(re.sum+re.lost, im.sum+im.lost)
}

// lengths are those that recordings and their bands come to: every one to 4096, some
// between, those of seconds at usual rates, and whole chunks. HISSPOINT_LONG=1 takes every one there is.
func lengths() (all []int) {
	usual := []int{240000, 441000, 480000, 960000, 1 << 20}
	for i, m := 0, 2; m <= 1<<20; i, m = i+1, Smooth(m+1) {
		if m <= 4096 || m < 1<<16 && i%9 == 0 || slices.Contains(usual, m) || os.Getenv("HISSPOINT_LONG") == "1" {
			all = append(all, m)
		}
	}
	return all
}

func TestForwardIsTheSumThatDefinesIt(t *testing.T) {
	for _, m := range lengths() {
		x := noise(uint64(m), m)
		z, got := asComplex(x), Forward(nil, x)
		require.Len(t, got, m/2+1)
		bins := []int{0, 1, m / 3, m/2 - 1, m / 2}
		if m <= 400 {
			bins = bins[:0]
			for k := range got {
				bins = append(bins, k)
			}
		} else if m > 1<<17 {
			bins = bins[2:3]
		}
		size := math.Sqrt(float64(m)) * rms(z, nil) // of a bin, by Parseval
		for _, k := range bins {
			assert.LessOrEqual(t, cmplx.Abs(got[k]-direct(z, k)), bound(m)*size, "length %d, bin %d", m, k)
		}
	}
}

func TestAgainstTheLibrary(t *testing.T) {
	for _, m := range lengths() {
		x := noise(uint64(m), m)
		want := fourier.NewFFT(m).Coefficients(nil, x)
		got := Forward(nil, x)
		require.LessOrEqual(t, rms(got, want), bound(m)*rms(want, nil), "length %d", m)
		back := Inverse(nil, got, m)
		require.LessOrEqual(t, rms(asComplex(back), asComplex(x)), 2*bound(m)*rms(asComplex(x), nil), "there and back, length %d", m)
		z := complexNoise(uint64(m), m/2)
		want = fourier.NewCmplxFFT(m/2).Coefficients(nil, z)
		got = slices.Clone(z)
		Complex(got)
		require.LessOrEqual(t, rms(got, want), bound(m)*rms(want, nil), "complex length %d", m/2)
		require.LessOrEqual(t, rms(InverseComplex(got), z), 2*bound(m)*rms(z, nil), "there and back, complex length %d", m/2)
	}
}

// Parseval: the sum of squares is that of the bins, both sides counted, over m.
func TestParseval(t *testing.T) {
	for _, m := range lengths() {
		x, freq := noise(uint64(m), m), 0.0
		for k, c := range Forward(nil, x) {
			p := real(c)*real(c) + imag(c)*imag(c)
			if k > 0 && k < m/2 {
				p *= 2
			}
			freq += p / float64(m)
		}
		sum := 0.0
		for _, v := range x {
			sum += v * v
		}
		assert.InEpsilon(t, sum, freq, 1e-12, "length %d", m)
	}
}

// Lengths with other factors, and the ends of a spectrum that no real sound has.
func TestWhatTheLibraryTakesIsTakenAlike(t *testing.T) {
	for _, m := range []int{14, 22, 2204, 49 * 26} {
		x, z := noise(1, m), complexNoise(2, m/2)
		got, keep := Forward(nil, x), slices.Clone(z)
		assert.LessOrEqual(t, cmplx.Abs(got[3]-direct(asComplex(x), 3)), 10*bound(m)*math.Sqrt(float64(m)), "length %d", m)
		assert.LessOrEqual(t, rms(asComplex(Inverse(nil, got, m)), asComplex(x)), 10*bound(m), "length %d", m)
		Complex(z)
		assert.LessOrEqual(t, cmplx.Abs(z[3]-direct(keep, 3)), 10*bound(m)*math.Sqrt(float64(m)), "length %d", m)
		assert.LessOrEqual(t, rms(InverseComplex(z), keep), 10*bound(m), "length %d", m)
	}
	for _, m := range []int{2, 12, 22} {
		c := complexNoise(3, m/2+1)
		want := fourier.NewFFT(m).Sequence(nil, c)
		for i, v := range Inverse(nil, c, m) {
			assert.InDelta(t, want[i]/float64(m), v, 1e-14, "length %d, sample %d", m, i)
		}
	}
}

// Plans are shared between goroutines and let go where there are many; run with -race
// this finds a room used twice at once.
func TestPlansMayBeUsedAtOnce(t *testing.T) {
	x := noise(1, 720)
	want := Forward(nil, x)
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			for j := range 50 {
				Forward(nil, make([]float64, Smooth(2+40*(i+j))))
				assert.Equal(t, want, Forward(nil, x))
			}
		})
	}
	all.Wait()
	assert.Equal(t, noise(1, 720), x, "the input stays")
}

// BenchmarkAgainstTheLibrary takes both transforms in turn, so that what else the machine
// does slows both alike, and tells how many times as long the library's takes.
func BenchmarkAgainstTheLibrary(b *testing.B) {
	for _, m := range []int{16384, 240000, 480000, 1 << 20} {
		b.Run(strconv.Itoa(m), func(b *testing.B) {
			x, f := noise(1, m), fourier.NewFFT(m)
			c := make([]complex128, m/2+1)
			ours, theirs := time.Hour, time.Hour
			for b.Loop() {
				begun := time.Now()
				Forward(c, x)
				between := time.Now()
				f.Coefficients(c, x)
				ours, theirs = min(ours, between.Sub(begun)), min(theirs, time.Since(between))
			}
			b.ReportMetric(float64(ours.Nanoseconds()), "ns-ours")
			b.ReportMetric(float64(theirs.Nanoseconds()), "ns-library")
			b.ReportMetric(float64(theirs)/float64(ours), "times")
		})
	}
}

// Any length and any samples: finite ones come back as they were.
func FuzzThereAndBack(f *testing.F) {
	f.Add(uint16(0), uint64(1), 1.0)
	f.Add(uint16(479), uint64(2), 1e-300)
	f.Add(uint16(1102), uint64(3), -1e150)
	f.Fuzz(func(t *testing.T, half uint16, seed uint64, scale float64) {
		m := 2 * (int(half)%3000 + 1)
		if !(math.Abs(scale) < 1e140) {
			return
		}
		x := noise(seed, m)
		for i := range x {
			x[i] *= scale
		}
		size := rms(asComplex(x), nil)
		c := Forward(nil, x)
		var sum total
		for _, v := range x {
			sum.add(v)
		}
		// Below 1e-300 steps between numbers are no longer a share of them.
		near := 20*bound(m)*math.Max(size, math.Abs(scale)) + 0x1p-1000
		if Smooth(m) != m { // the library multiplies turns up along a large factor
			near *= float64(m)
		}
		if math.Abs(real(c[0])-sum.sum-sum.lost) > near*math.Sqrt(float64(m)) || imag(c[0]) != 0 {
			t.Fatalf("length %d: the first of the spectrum is %g, the sum %g", m, c[0], sum.sum)
		}
		for i, v := range Inverse(nil, c, m) {
			if math.Abs(v-x[i]) > 10*near {
				t.Fatalf("length %d, sample %d: %g came back as %g", m, i, x[i], v)
			}
		}
	})
}
