package lines

import (
	"flag"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hisspoint/capture/dft"
)

// Properties are tried on the same values every time; -rapid.seed tries others.
func init() { must(flag.Set("rapid.seed", "1")) }

func must(err error) {
	if err != nil {
		panic(err)
	}
}

// tone adds a cos(2 pi v t + phase) to x.
func tone(x []float64, a, v, phase float64) {
	for i := range x {
		x[i] += a * math.Cos(2*math.Pi*math.Mod(v*float64(i), 1)+phase)
	}
}

// transform is the spectrum of x, zero-padded to a length of m.
func transform(x []float64, m int) *Spectrum {
	p := make([]float64, m)
	copy(p, x)
	return &Spectrum{R: dft.Forward(nil, p), N: len(x), M: m}
}

func of(x []float64) *Spectrum { return transform(x, dft.Smooth(len(x))) }

// strongest is where the search for a line begins.
func strongest(s *Spectrum) float64 {
	best, at := 0.0, 0
	for k := 1; k < len(s.R)-1; k++ {
		if p := cmplx.Abs(s.R[k]); p > best {
			best, at = p, k
		}
	}
	return float64(at) / float64(s.M)
}

func turned(a, b float64) float64 { return math.Abs(math.Remainder(a-b, 2*math.Pi)) }

// A line of any length, frequency and phase is found to the digit and leaves nothing behind.
func TestOneLineIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(200, 5000).Draw(t, "samples")
		v := rapid.Float64Range(8/float64(n), 0.5-8/float64(n)).Draw(t, "cycles a sample")
		a := math.Pow(10, rapid.Float64Range(-5, 0).Draw(t, "log amplitude"))
		phase := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "phase")
		x := make([]float64, n)
		tone(x, a, v, phase)
		s := of(x)
		l := s.FitNear(strongest(s))
		assert.InDelta(t, v, l.V, 1e-8*v, "frequency")
		assert.InEpsilon(t, a, l.Amplitude(), 1e-7, "amplitude")
		assert.Less(t, turned(phase, cmplx.Phase(l.C)), 1e-6, "phase")
		assert.InEpsilon(t, a*a/2, l.Power(), 2e-7, "power")
		s.Remove(l, a*a*1e-16)
		for k, r := range s.R {
			if cmplx.Abs(r) > 1e-6*a*float64(n) {
				t.Fatalf("bin %d keeps %g of a line of %g", k, cmplx.Abs(r)/float64(n), a)
			}
		}
	})
}

// The transform of a line that is written down is the transform of its samples,
// on the bin, between bins, and with or without padding.
func TestKernelIsTheTransform(t *testing.T) {
	for _, n := range []int{240, 239, 997} {
		for _, m := range []int{dft.Smooth(n), dft.Smooth(2 * n)} {
			for _, v := range []float64{0.1, 24.0 / 240, 0.25, 1.0 / 3, 0.004, 0.4999, 100 / float64(m)} {
				x := make([]float64, n)
				tone(x, 0.7, v, 1.1)
				s := transform(x, m)
				l := Line{V: v, C: cmplx.Rect(0.35, 1.1)}
				for k, r := range s.Part(0, len(s.R)-1, Line{V: v, C: -l.C}) {
					assert.InDelta(t, 0, cmplx.Abs(r), 1e-10*float64(n), "n %d m %d v %g bin %d", n, m, v, k)
				}
			}
		}
	}
}

// Of a long record too: a phase that goes round 10^8 times keeps its digits.
func TestLongRecordIsExact(t *testing.T) {
	const n = 480000
	x := make([]float64, n)
	tone(x, 0.5, 1000.123/48000, 0.3)
	s := of(x)
	l := s.FitNear(strongest(s))
	assert.InEpsilon(t, 1000.123/48000, l.V, 1e-12)
	assert.InEpsilon(t, 0.5, l.Amplitude(), 1e-9)
	s.Remove(l, 1e-18)
	left := 0.0
	for _, r := range s.R {
		left += 2 * (real(r)*real(r) + imag(r)*imag(r)) / (float64(s.N) * float64(s.M))
	}
	assert.Less(t, 10*math.Log10(left/0.125), -150.0, "dB left of the line")
}

// An offset and a line at a given frequency are found without search.
func TestFitAtAGivenFrequency(t *testing.T) {
	x := make([]float64, 1200)
	for i := range x {
		x[i] = -0.0123
	}
	s := of(x)
	assert.InDelta(t, -0.0123, 2*real(s.Fit(0).C), 1e-12)
	tone(x, 0.2, 0.0371, 2)
	s = of(x)
	s.Remove(s.Fit(0), 1e-24)
	l := s.Fit(0.0371)
	assert.InDelta(t, 0.2, l.Amplitude(), 2e-4) // the offset was pulled by the line
}

// A weak line beside one 60 dB stronger, each fitted with the other gone.
func TestRefitUndoesAPull(t *testing.T) {
	const n = 8000
	x := make([]float64, n)
	tone(x, 1, 1000.37/8000, 0.5)
	tone(x, 1e-3, 1012.9/8000, -1)
	s := of(x)
	strong := s.FitNear(strongest(s))
	s.Remove(strong, 1e-18)
	weak := s.FitNear(strongest(s))
	s.Remove(weak, 1e-18)
	for range 6 {
		for _, l := range []*Line{&strong, &weak} {
			was := *l
			*l = s.Refit(was)
			s.Remove(Line{V: was.V, C: -was.C}, 1e-18)
			s.Remove(*l, 1e-18)
		}
	}
	assert.InDelta(t, 1000.37, strong.V*8000, 1e-6)
	assert.InDelta(t, 1, strong.Amplitude(), 1e-6)
	assert.InDelta(t, 1012.9, weak.V*8000, 1e-4)
	assert.InEpsilon(t, 1e-3, weak.Amplitude(), 1e-3)
}

// White noise of unit variance has the one-sided density 2 over 0 to 0.5
// cycles a sample, with or without a strong line in its midst.
func TestDensityOfWhiteNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	x := make([]float64, 1<<17)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	tone(x, 100, 0.0777, 0)
	s := of(x)
	l := s.FitNear(strongest(s))
	d, bins := s.Density(l, 0.05, 3)
	require.Greater(t, bins, 12000)
	assert.InEpsilon(t, 2, d, 4/math.Sqrt(float64(bins)))
}

// Nothing breaks where there is nothing to fit.
func TestEmptyCornersAreHarmless(t *testing.T) {
	s := of(make([]float64, 50))
	for _, v := range []float64{0, 0.01, 0.25, 0.5} {
		l := s.FitNear(v)
		assert.False(t, math.IsNaN(l.V) || cmplx.IsNaN(l.C), "%g", v)
		assert.Zero(t, s.Fit(v).C, "%g", v)
	}
	s.Remove(Line{V: 0.1}, 0)
	_, bins := s.Density(Line{V: 0.9}, 0.01, 2)
	assert.Zero(t, bins)
}

// The slope of the kernel is its derivative, and the line added in closed form is
// the transform of its samples, near and far, with padding and without.
func TestClosedFormsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(300, 2000).Draw(t, "samples")
		m := n + n%2
		if rapid.Bool().Draw(t, "padded") {
			m = 2 * (n/2 + rapid.IntRange(1, 200).Draw(t, "padding"))
		}
		l := Line{V: rapid.Float64Range(0, 0.5).Draw(t, "cycles a sample"), C: complex(0.3, -0.4)}
		if rapid.Bool().Draw(t, "on a bin") {
			l.V = math.Round(l.V*float64(m)) / float64(m)
		}
		x := make([]float64, n)
		tone(x, 1, l.V, math.Atan2(-0.4, 0.3))
		s := transform(x, m)
		own := make([]complex128, len(s.R))
		s.addPart(own, 0, l)
		e, d, up, down := make([]complex128, len(own)), make([]complex128, len(own)), make([]complex128, len(own)), make([]complex128, len(own))
		h := 1e-4 / float64(n)
		s.kernels(e, l.V, 0)
		s.slopes(d, e, l.V, 0)
		s.kernels(up, l.V+h, 0)
		s.kernels(down, l.V-h, 0)
		for k := range own {
			if cmplx.Abs(own[k]-s.R[k]) > 1e-9*float64(n) {
				t.Fatalf("bin %d: %v, not %v", k, own[k], s.R[k])
			}
			if cmplx.Abs(d[k]-(up[k]-down[k])/complex(2*h, 0)) > 1e-6*float64(n*n) {
				t.Fatalf("bin %d: slope %v, not %v", k, d[k], (up[k]-down[k])/complex(2*h, 0))
			}
		}
	})
}
