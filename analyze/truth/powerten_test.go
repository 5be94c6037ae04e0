package truth_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze/kind"
	"hisspoint/capture/job"
)

// cosineTip is the n-th Fourier coefficient (a cosine's peak) of what a cosine of peak a
// has above a height, as of a valve's anode current in class C:
//
//	c1 = a/pi (p - sin p cos p),  cn = 2 a/pi (sin(np) cos p - n cos(np) sin p) / (n (n^2 - 1)),  p = acos(height/a)
func cosineTip(n int, a, height float64) float64 {
	if a <= height {
		return 0
	}
	p, k := math.Acos(height/a), float64(n)
	if n == 1 {
		return a / math.Pi * (p - math.Sin(p)*math.Cos(p))
	}
	return 2 * a / math.Pi * (math.Sin(k*p)*math.Cos(p) - k*math.Cos(k*p)*math.Sin(p)) / (k * (k*k - 1))
}

// unequal are the harmonics 1 to last of a cosine of peak a whose upper half is cut at 1
// and whose lower at -lower.
func unequal(a, lower float64, last int) []float64 {
	out := make([]float64, last)
	for n := 1; n <= last; n++ {
		sign := 1.0
		if n%2 == 1 {
			sign = -1
		}
		out[n-1] = sign*cosineTip(n, a, lower) - cosineTip(n, a, 1)
	}
	out[0] += a
	return out
}

// unequalAt is the distortion of harmonics 2 to 10 in percent, and the RMS of all that
// passes a coupling capacitor (harmonics to 400; their power falls with the fourth power of
// the order).
func unequalAt(a, lower float64) (thd, rms float64) {
	sum, all := 0.0, 0.0
	h := unequal(a, lower, 400)
	for i, v := range h {
		all += v * v / 2
		if i > 0 && i < 10 {
			sum += v * v
		}
	}
	return 100 * math.Sqrt(sum) / h[0], math.Sqrt(all)
}

// The output at 10 % of waves that are clipped evenly and unevenly against the closed
// form, volumes 1, 2 and 3 dB apart: the interval holds it, also where
// the second half sets in just at 10 % (0.75 of the other).
func TestOutputAtTenPercentOfUnevenClipping(t *testing.T) {
	_, square := clippedSine(3)
	even, _ := unequalAt(3, 1)
	require.InDelta(t, square, even, 0.002, "two closed forms of one wave")
	const scale = 0.2
	r := rand.New(rand.NewPCG(16, 4))
	for _, step := range []float64{1, 2, 3} {
		worst, widest := 0.0, 0.0
		for _, lower := range []float64{1, 0.9, 0.75, 0.6, 0.45} {
			drive := lower // where clipping begins
			for d := 0.5; d > 1e-9; d /= 2 {
				if thd, _ := unequalAt(drive+d, lower); thd < 10 {
					drive += d
				}
			}
			want := 0.0
			for _, v := range unequal(drive, lower, 11) {
				want = math.Hypot(want, scale*v/math.Sqrt2)
			}
			offset := r.Float64()
			b := testOf(job.KindAudioPower, job.FM)
			b.setup.Reading.FullScaleVolts = 1 / math.Sqrt2 // so that volts are those of the samples
			for i := range 6 {
				s := silence(24000, 0.6)
				for n, v := range unequal(drive*math.Pow(10, step*(float64(i)-2-offset)/20), lower, 11) {
					s.tone(scale*math.Abs(v), 1000*float64(n+1), math.Pi/2+map[bool]float64{true: math.Pi}[v < 0])
				}
				b.volume(fmt.Sprint(i), s.each(func(_ int, x float64) float64 { return x + 1e-5*r.NormFloat64() }))
			}
			f := b.run(t, kind.AudioPower).Get(job.FigureOutputAtTen)
			require.True(t, f.HasInterval(), "%+v", f)
			t.Logf("%g dB, lower half at %g: %.5f V [%.5f, %.5f] for %.5f", step, lower, f.Value, f.Low, f.High, want)
			assert.True(t, f.Low <= want && want <= f.High, "%g dB, %g: %g in %+v", step, lower, want, f)
			worst, widest = math.Max(worst, math.Abs(20*math.Log10(f.Value/want))), math.Max(widest, 20*math.Log10(f.High/f.Low))
		}
		t.Logf("%g dB: worst %.4f dB, widest %.4f dB", step, worst, widest)
	}
}
