package spectrum

import (
	"flag"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Properties are tried on the same values every time; -rapid.seed tries others.
func init() { must(flag.Set("rapid.seed", "1")) }

func must(err error) {
	if err != nil {
		panic(err)
	}
}

func smooth(n int) bool {
	if n%2 != 0 {
		return false
	}
	for _, p := range []int{2, 3, 5} {
		for n%p == 0 {
			n /= p
		}
	}
	return n == 1
}

func TestSmoothByTrial(t *testing.T) {
	want := 2
	for n := 1; n <= 100000; n++ {
		for want < n || !smooth(want) {
			want++
		}
		if got := Smooth(n); got != want {
			t.Fatalf("Smooth(%d) is %d, want %d", n, got, want)
		}
	}
}

// Long lengths by trial too, near where recordings are cut.
func TestSmoothOfLongLengths(t *testing.T) {
	for _, n := range []int{441000, 480000, 960000, 1<<20 - 1, 1 << 20, 1<<20 + 1} {
		want := n
		for !smooth(want) {
			want++
		}
		assert.Equal(t, want, Smooth(n))
	}
}

func noise(seed uint64, n int) []float64 {
	r := rand.New(rand.NewPCG(seed, 2))
	x := make([]float64, n)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	return x
}

func TestForwardIsTheSumThatDefinesIt(t *testing.T) {
	for _, m := range []int{2, 4, 6, 10, 30, 90, 128, 250, 360} {
		x := noise(uint64(m), m)
		got := Forward(nil, x)
		assert.Len(t, got, m/2+1)
		for k := range got {
			var want complex128
			for i, v := range x {
				want += complex(v, 0) * cmplx.Exp(complex(0, -2*math.Pi*float64(k*i%m)/float64(m)))
			}
			assert.InDelta(t, 0, cmplx.Abs(want-got[k]), 1e-11*float64(m), "length %d, bin %d", m, k)
		}
	}
}

// Parseval: the sum of squares is that of the bins, both sides counted, over m.
// And back again is the identity.
func TestParsevalAndBack(t *testing.T) {
	var buffer []complex128
	var back []float64
	rapid.Check(t, func(t *rapid.T) {
		m := Smooth(rapid.IntRange(2, 3000).Draw(t, "length"))
		x := noise(rapid.Uint64().Draw(t, "seed"), m)
		keep := append([]float64(nil), x...)
		buffer = Forward(buffer, x)
		assert.Equal(t, keep, x, "the input stays")
		time, freq := 0.0, 0.0
		for _, v := range x {
			time += v * v
		}
		for k, c := range buffer {
			p := real(c)*real(c) + imag(c)*imag(c)
			if k > 0 && k < m/2 {
				p *= 2
			}
			freq += p / float64(m)
		}
		assert.InEpsilon(t, time, freq, 1e-12)
		back = Inverse(back, buffer, m)
		for i := range x {
			if math.Abs(x[i]-back[i]) > 1e-12 {
				t.Fatalf("sample %d: %g came back as %g", i, x[i], back[i])
			}
		}
	})
}

func TestInverseComplexIsTheSumThatDefinesIt(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, m := range []int{2, 8, 30, 54} {
		z := make([]complex128, m)
		for i := range z {
			z[i] = complex(r.NormFloat64(), r.NormFloat64())
		}
		keep := append([]complex128(nil), z...)
		got := InverseComplex(z)
		for i := range got {
			var want complex128
			for k, c := range keep {
				want += c * cmplx.Exp(complex(0, 2*math.Pi*float64(k*i%m)/float64(m))) / complex(float64(m), 0)
			}
			assert.InDelta(t, 0, cmplx.Abs(want-got[i]), 1e-12, "length %d, sample %d", m, i)
		}
	}
}

// Plans are shared between goroutines; run with -race this finds a plan used twice at once.
func TestPlansMayBeUsedAtOnce(t *testing.T) {
	x := noise(1, 720)
	want := Forward(nil, x)
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			for range 50 {
				assert.Equal(t, want, Forward(nil, x))
			}
		})
	}
	all.Wait()
}
