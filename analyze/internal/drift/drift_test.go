package drift

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/dft"
)

const (
	rate = 8000.0
	band = 3100.0 // Hz, in which S/N is stated
)

// recording is cos(phase(t)) in white noise of a stated S/N, and the noise as built.
type recording struct{ x, noise []float64 }

func made(r *rand.Rand, seconds, snr float64, phase func(at float64) float64) recording {
	n := int(seconds * rate)
	sd := math.Sqrt(0.5 / math.Pow(10, snr/10) / band * rate / 2)
	m := recording{make([]float64, n), make([]float64, n)}
	for i := range n {
		m.noise[i] = sd * r.NormFloat64()
		m.x[i] = math.Cos(phase(float64(i)/rate)) + m.noise[i]
	}
	return m
}

// soundOf is x with the part of its transform around 1 kHz.
func soundOf(x []float64) Sound {
	const hz, spread = 1000, 0.125
	m := dft.Smooth(len(x))
	padded := make([]float64, m)
	copy(padded, x)
	r := dft.Forward(nil, padded)
	lo, hi := hz*(1-spread), hz*(1+spread)
	first, last := int((lo-Margin)/rate*float64(m)), int((hi+Margin)/rate*float64(m))
	return Sound{X: x, Rate: rate, Band: r[first : last+1], First: first, M: m, Lo: lo, Hi: hi}
}

// restOf is the mean square that is left once the tone was straightened and the steady
// tone of least squares taken out.
func restOf(c Course, x []float64) float64 {
	y := append([]float64(nil), x...)
	c.Straighten(y, 0)
	steady := make([]complex128, len(y))
	for t := range steady {
		steady[t] = cmplx.Rect(1, math.Mod(2*math.Pi*c.hz()/c.Rate*float64(t), 2*math.Pi))
	}
	a, b, _ := project(y, 0, steady, 1)
	sum := 0.0
	for t := range y {
		d := y[t] - a*real(steady[t]) + b*imag(steady[t])
		sum += d * d / float64(len(y))
	}
	return sum
}

func power(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v / float64(len(x))
	}
	return sum
}

var drifts = map[string]func(at, seconds float64) float64{ // cycles
	"steady":    func(at, _ float64) float64 { return 1000 * at },
	"0.15 Hz/s": func(at, _ float64) float64 { return 1000*at + 0.15*at*at/2 },
	"3 Hz/s":    func(at, _ float64) float64 { return 990*at + 3*at*at/2 },
	"-3 Hz/s":   func(at, _ float64) float64 { return 1010*at - 3*at*at/2 },
	"curved":    func(at, seconds float64) float64 { return 1000*at + 1.5*at*at*at/3/seconds },
	"warm-up":   func(at, _ float64) float64 { return 1000*at - 12*4*math.Exp(-at/4) }, // 12 Hz, 4 s
}

// What is left without the tone is the noise as built, to 0.1 dB of SINAD: closed form.
func TestDriftLeavesTheNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 1))
	lengths, runs := []float64{5}, 1
	if os.Getenv("HISSPOINT_LONG") == "1" {
		lengths, runs = []float64{1, 5, 15}, 20
	}
	for _, seconds := range lengths {
		for _, sinad := range []float64{3, 6, 20, 45} {
			for name, cycles := range drifts {
				worst := 0.0
				for range runs {
					start := 2 * math.Pi * r.Float64()
					phase := func(at float64) float64 { return start + 2*math.Pi*cycles(at, seconds) }
					m := made(r, seconds, 10*math.Log10(math.Pow(10, sinad/10)-1), phase)
					c, ok := Follow(soundOf(m.x))
					require.True(t, ok, "%s, %g s, %g dB", name, seconds, sinad)
					assert.Empty(t, c.Slips, "%s, %g s, %g dB", name, seconds, sinad)
					worst = math.Max(worst, math.Abs(10*math.Log10(restOf(c, m.x)/power(m.noise))))
					assert.InDelta(t, cycles(seconds, seconds)/seconds-cycles(0, seconds)/seconds, c.hz(), 0.05, "mean frequency, %s", name)
				}
				assert.Less(t, worst, 0.1, "dB, %s, %g s, %g dB", name, seconds, sinad)
			}
		}
	}
}

// Slope and range of the frequency, by hand: 990 Hz and 3 Hz/s over 4 s.
func TestSlope(t *testing.T) {
	m := made(rand.New(rand.NewPCG(1, 1)), 4, 60, func(at float64) float64 { return 2 * math.Pi * drifts["3 Hz/s"](at, 4) })
	c, ok := Follow(soundOf(m.x))
	require.True(t, ok)
	low, high := c.Range()
	assert.InDelta(t, 3, c.Slope(), 1e-3)
	assert.InDelta(t, 990, low, 1e-2)
	assert.InDelta(t, 1002, high, 1e-2)
	assert.InDelta(t, 996, c.hz(), 1e-2)
}

// Without noise nothing stays of a tone with harmonics that drifts and slips but one
// steady tone with its harmonics: 80 dB below it.
func TestStraighten(t *testing.T) {
	n := int(3 * rate)
	c := Course{Coef: []float64{0.3, 2 * math.Pi * 1000 * 1.5, 3, -0.5}, N: n, Rate: rate}
	c.Slips = []Slip{{At: n / 3, Turn: 0.7}, {At: n / 2, Turn: -1.2}}
	x, want := make([]float64, n), make([]float64, n)
	for i := range x {
		p := c.Phase(i)
		q := c.Coef[0] + (c.Coef[1]+c.Coef[3])*(2*float64(i)/float64(n)-1)
		x[i] = 0.5*math.Cos(p+1) + 0.05*math.Cos(2*p-1) + 0.02*math.Cos(3*p+2) + 0.01
		want[i] = 0.5*math.Cos(q+1) + 0.05*math.Cos(2*q-1) + 0.02*math.Cos(3*q+2) + 0.01
	}
	c.Straighten(x, 0.01)
	assert.Less(t, power(minus(x, want)), 1e-8*0.125)
}

// A tone that is keyed, and noise alone, have no course.
func TestNoTone(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 20 {
		m := made(r, 3, 10, func(at float64) float64 { return 2 * math.Pi * 1000 * at })
		assert.False(t, Acquired(soundOf(m.noise)))
		for i := range m.x {
			if i/2000%2 == 1 {
				m.x[i] = m.noise[i]
			}
		}
		_, ok := Follow(soundOf(m.x))
		assert.False(t, ok, "keyed")
	}
	_, ok := Follow(soundOf(make([]float64, 8000)))
	assert.False(t, ok, "silence")
	_, ok = Follow(soundOf(make([]float64, 4000)))
	assert.False(t, ok, "short")
}

// Legendre's P_2 = (3u^2-1)/2 and P_3 = (5u^3-3u)/2 and their slopes 3u and (15u^2-3)/2
// (Abramowitz & Stegun 22.3, from memory).
func TestLegendre(t *testing.T) {
	for _, u := range []float64{-1, -0.3, 0, 0.7, 1} {
		c := []float64{0.5, -2, 3, 4}
		assert.InDelta(t, 0.5-2*u+3*(3*u*u-1)/2+4*(5*u*u*u-3*u)/2, at(c, u), 1e-12)
		assert.InDelta(t, -2+3*3*u+4*(15*u*u-3)/2, slopeAt(c, u), 1e-12)
		assert.InDelta(t, at(c, u), 0.5*1-2*u+3*basisOf([]float64{u}, 3)[2][0]+4*basisOf([]float64{u}, 3)[3][0], 1e-12)
	}
}
