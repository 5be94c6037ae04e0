package drift

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// step is the phase of 1 kHz with a jump of so many degrees.
func step(at0, degrees, hzPerSecond float64) func(at float64) float64 {
	return func(at float64) float64 {
		p := 2 * math.Pi * (1000*at + hzPerSecond*at*at/2)
		if at >= at0 {
			p += degrees * math.Pi / 180
		}
		return p
	}
}

// The jump of one sample of 48 kHz, 7.5 degrees at 1 kHz, is found from 9 dB S/N up, one
// of two from 3 dB; its place is the likeliest one, and the noise stays as built.
func TestSlips(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	runs := 3
	if os.Getenv("HISSPOINT_LONG") == "1" {
		runs = 100
	}
	for _, c := range []struct {
		degrees, snr, least float64
	}{{7.5, 9, 0.95}, {15, 3, 0.95}, {-7.5, 20, 1}, {45, 9, 1}, {-22.5, 40, 1}, {170, 20, 1}} {
		found := 0.0
		// The likeliest place strays by more than m samples with exp(-m d / 8 s) or so, d the power of
		// the difference of both phases and s that of the noise (Hinkley 1970): 5e-5 for this m.
		differ := 2 * math.Pow(math.Sin(c.degrees*math.Pi/360), 2)
		noise := 0.5 / math.Pow(10, c.snr/10) / band * rate / 2
		within := 2 + 80*noise/differ
		for range runs {
			at0 := 0.3 + 4.4*r.Float64()
			m := made(r, 5, c.snr, step(at0, c.degrees, 0.3))
			course, ok := Follow(soundOf(m.x))
			require.True(t, ok)
			assert.InDelta(t, 0, 10*math.Log10(restOf(course, m.x)/power(m.noise)), 0.1, "dB, %g degrees, %g dB", c.degrees, c.snr)
			if len(course.Slips) != 1 {
				continue
			}
			found++
			s := course.Slips[0]
			assert.InDelta(t, c.degrees*math.Pi/180, s.Turn, 5*s.Sigma*2*math.Pi*1000/rate, "%g degrees, %g dB", c.degrees, c.snr)
			assert.InDelta(t, math.Ceil(at0*rate), s.At, within, "%g degrees, %g dB", c.degrees, c.snr)
			assert.InDelta(t, c.degrees/45, s.Samples, 5*s.Sigma)
		}
		t.Logf("%g degrees at %g dB: found in %g of %d", c.degrees, c.snr, found, runs)
		assert.GreaterOrEqual(t, found/float64(runs), math.Floor(c.least*float64(runs))/float64(runs), "%g degrees, %g dB", c.degrees, c.snr)
	}
}

// Noise alone, from 0 to 45 dB S/N, on a tone that is steady or drifts, has no slips. One
// recording in 10,000 with one would show in 100,000 with near certainty.
func TestNoSlipInCleanRecordings(t *testing.T) {
	runs, seconds := 60, 2.0
	if os.Getenv("HISSPOINT_LONG") == "1" {
		runs = 100000
	}
	claimed := 0
	r := rand.New(rand.NewPCG(2, 9))
	for range runs {
		bend := 0.0
		if r.IntN(2) == 1 {
			bend = 6*r.Float64() - 3
		}
		m := made(r, seconds, 45*r.Float64(), step(9, 0, bend))
		if c, ok := Follow(soundOf(m.x)); ok && len(c.Slips) > 0 {
			claimed++
		}
	}
	t.Logf("%d of %d", claimed, runs)
	assert.LessOrEqual(t, claimed, runs/10000)
}

// Phase that walks at random, flutter, and phase-shift keying are no slips: less than one
// recording in a hundred of them has one.
func TestPhaseNoiseIsNoSlip(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	tone := func(at float64) float64 { return 2 * math.Pi * 1000 * at }
	runs := 1
	if os.Getenv("HISSPOINT_LONG") == "1" {
		runs = 30
	}
	tried, claimed := map[string]int{}, map[string]int{}
	try := func(what string, snr float64, phase func(at float64) float64) {
		tried[what]++
		if c, ok := Follow(soundOf(made(r, 5, snr, phase).x)); ok && len(c.Slips) > 0 {
			claimed[what]++
		}
	}
	for range runs {
		for _, snr := range []float64{10, 20, 40} {
			for _, strength := range []float64{0.02, 0.1, 0.5} { // rad a root second
				p := 0.0
				try("walk", snr, func(at float64) float64 {
					p += strength / math.Sqrt(rate) * r.NormFloat64()
					return tone(at) + p
				})
			}
			for _, hz := range []float64{0.5, 2, 15} {
				try("flutter", snr, func(at float64) float64 { return tone(at) + 0.5*math.Sin(2*math.Pi*hz*at) })
			}
			for _, baud := range []float64{5, 31} {
				bits := make([]float64, 200)
				for i := range bits {
					bits[i] = math.Pi * float64(r.IntN(2))
				}
				try("keyed", snr, func(at float64) float64 { return tone(at) + bits[int(at*baud)] })
			}
		}
	}
	t.Logf("%v of %v", claimed, tried)
	for what, n := range tried {
		assert.LessOrEqual(t, float64(claimed[what]), 0.01*float64(n), what)
	}
}

// The division is that of least cost: every division of a short course was tried.
func TestPartitionIsTheCheapest(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	for range 20 {
		x := make([]float64, 16)
		for i := range x {
			x[i] = r.NormFloat64() + 4*float64(i/6%2)
		}
		const penalty = 6.0
		least := math.Inf(1)
		for mask := range 1 << 16 {
			if c, ok := costOf(x, mask, penalty); ok {
				least = math.Min(least, c)
			}
		}
		mask := 0
		for _, k := range partition(x, penalty) {
			mask |= 1 << k
		}
		got, ok := costOf(x, mask, penalty)
		require.True(t, ok)
		assert.InDelta(t, least, got, 1e-9)
	}
}

// costOf is the cost of the division at the bits of mask; false where a piece is too short.
func costOf(x []float64, mask int, penalty float64) (float64, bool) {
	cost, from := -penalty, 0
	for i := 1; i <= len(x); i++ {
		if i < len(x) && mask>>i&1 == 0 {
			continue
		}
		if i-from < segment {
			return 0, false
		}
		cost += squaresAbout(x[from:i]) + penalty
		from = i + skip
	}
	return cost, mask&1 == 0 && from == len(x)+skip
}

// White phase is at rest but for once in some thousand times; phase that bends, steps or
// sways is not.
func TestRestless(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2))
	alarms := 0
	for range 1000 {
		x := make([]float64, 500)
		for i := range x {
			x[i] = 0.1*r.NormFloat64() + 0.01*float64(i)
		}
		if Restless(x) {
			alarms++
		}
	}
	assert.LessOrEqual(t, alarms, 5)
	for name, f := range map[string]func(u float64) float64{
		"bend": func(u float64) float64 { return 0.1 * u * u },
		"step": func(u float64) float64 { return 0.1 * math.Copysign(1, u-0.3) },
		"sway": func(u float64) float64 { return 0.1 * math.Sin(30*u) },
	} {
		x := make([]float64, 500)
		for i := range x {
			x[i] = 0.1*r.NormFloat64() + f(float64(i)/250-1)
		}
		assert.True(t, Restless(x), name)
	}
}
