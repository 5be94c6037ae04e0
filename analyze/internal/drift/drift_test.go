package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"hisspoint/analyze/internal/spectrum"
)

// soundOf is x with the part of its transform around hz.
func soundOf(x []float64, rate, hz, spread float64) Sound {
	m := spectrum.Smooth(len(x))
	p := make([]float64, m)
	copy(p, x)
	r := spectrum.Forward(nil, p)
	lo, hi := hz*(1-spread), hz*(1+spread)
	bin := func(hz float64) int { return max(1, min(len(r)-1, int(hz/rate*float64(m)))) }
	first, last := bin(lo-Margin), bin(hi+Margin)
	return Sound{X: x, Rate: rate, Band: r[first : last+1], First: first, M: m, Lo: lo, Hi: hi}
}

func noisy(r *rand.Rand, n int, rate, snr float64, phase func(at float64) float64) []float64 {
	sd := math.Sqrt(0.5 / math.Pow(10, snr/10) / 3100 * rate / 2)
	x := make([]float64, n)
	for i := range x {
		x[i] = math.Cos(phase(float64(i)/rate)) + sd*r.NormFloat64()
	}
	return x
}

func residual(c Course, x []float64) float64 {
	y := append([]float64(nil), x...)
	c.Straighten(y, 0)
	// take the steady tone out
	slope := 2 * math.Pi * c.hz() / c.Rate
	start := c.Coef[0] - slope*float64(len(x))/2
	s := Course{Coef: []float64{start + slope*float64(len(x))/2, slope * float64(len(x)) / 2}, N: c.N, Rate: c.Rate}
	var a, b, cc, ss, cs float64
	for t, v := range y {
		co, si := math.Cos(s.Phase(t)), -math.Sin(s.Phase(t))
		cc += co * co
		ss += si * si
		cs += co * si
		a += v * co
		b += v * si
	}
	det := cc*ss - cs*cs
	a, b = (a*ss-b*cs)/det, (b*cc-a*cs)/det
	sum := 0.0
	for t := range y {
		d := y[t] - a*math.Cos(s.Phase(t)) + b*math.Sin(s.Phase(t))
		sum += d * d
	}
	return sum / float64(len(y)) * 3100 / (c.Rate / 2)
}

func TestTable2(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 77))
	rate := 16000.0
	for _, T := range []float64{5, 15} {
		for _, sinad := range []float64{3, 6, 20, 30, 45} {
			line := fmt.Sprintf("%2.0f s %2.0f dB:", T, sinad)
			for _, kind := range []string{"0", ".03", ".3", "3", "curved", "warm"} {
				var sum, sum2 float64
				missing, claimed := 0, 0
				runs := 4
				for range runs {
					p0 := r.Float64() * 6
					ph := func(at float64) float64 {
						k := map[string]float64{"0": 0, ".03": .03, ".3": .3, "3": 3}[kind]
						f := 1000*at + k*at*at/2
						if kind == "curved" {
							f += 3 * T * math.Pow(at/T, 3) * T / 3
						}
						if kind == "warm" {
							f -= 12 * 4 * math.Exp(-at/4)
						}
						return p0 + 2*math.Pi*f
					}
					snr := 10 * math.Log10(math.Pow(10, sinad/10)-1)
					x := noisy(r, int(T*rate), rate, snr, ph)
					c, ok := Follow(soundOf(x, rate, 1000, 0.125))
					if !ok {
						missing++
						continue
					}
					claimed += len(c.Slips)
					nd := residual(c, x)
					sd2 := 0.0
					for i := range x {
						d := x[i] - math.Cos(ph(float64(i)/rate))
						sd2 += d * d
					}
					sd2 *= 3100 / (rate / 2) / float64(len(x))
					e := 10 * math.Log10((0.5+nd)/nd/((0.5+sd2)/sd2))
					sum += e
					sum2 += e * e
				}
				k := float64(runs - missing)
				line += fmt.Sprintf(" %s %+.3f rms %.3f (%d/%d)", kind, sum/k, math.Sqrt(sum2/k), missing, claimed)
			}
			fmt.Println(line)
		}
	}
}
