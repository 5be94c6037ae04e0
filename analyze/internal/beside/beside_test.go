package beside

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

const (
	stepHz = 0.2
	toneHz = 1000.0
)

// cells are the spectrum of 5 s of noise whose density over frequency is given: each is
// exponential about it.
func cells(seed uint64, density func(hz float64) float64) []float64 {
	r := rand.New(rand.NewPCG(seed, 1))
	p := make([]float64, int(3400/stepHz))
	for k := range p {
		p[k] = density(float64(k)*stepHz) * r.ExpFloat64()
	}
	return p
}

func bell(away, wide, dB float64) float64 {
	return 1 + (math.Pow(10, dB/10)-1)*math.Exp(-away*away/wide/wide)
}

func judged(seed uint64, density func(hz float64) float64) Verdict {
	d := Around(cells(seed, density), stepHz, toneHz)
	both := func(hz float64) float64 { return (density(toneHz+hz) + density(toneHz-hz)) / 2 }
	d.Along, d.Across = Near(cells(seed+1000, both), stepHz), Near(cells(seed+2000, both), stepHz)
	return d.Judge(1 / stepHz)
}

// over is the mean of a density over stretches to both sides of the tone, by sums.
func over(density func(hz float64) float64, from, to float64) float64 {
	sum := 0.0
	for d := from; d < to; d++ {
		sum += density(toneHz+d) + density(toneHz-d)
	}
	return sum / 2 / (to - from)
}

func TestShapesOfNoiseAroundATone(t *testing.T) {
	around := func(wide, dB float64) func(float64) float64 {
		return func(hz float64) float64 { return 1e-9 * bell(hz-toneHz, wide, dB) }
	}
	for name, c := range map[string]struct {
		density func(hz float64) float64
		shape   int
	}{
		"even":            {func(float64) float64 { return 1e-9 }, Even},
		"de-emphasised":   {func(hz float64) float64 { return 1e-9 / (1 + hz*hz/300/300) }, Even},
		"suppressor":      {around(90, 12), Dense},
		"wide suppressor": {around(320, 12), Dense},
		"hole":            {around(90, -10), Hole},
		"wide hole":       {around(300, -6), Hole},
		"discriminator":   {func(hz float64) float64 { return 1e-15 * hz * hz }, Even},
		"and flat noise":  {func(hz float64) float64 { return 1e-9 + 1e-15*hz*hz }, Even},
		"narrow filter":   {func(hz float64) float64 { return 1e-9 / (1 + math.Pow((hz-toneHz)/300, 6)) }, Even},
		"two-pole peak":   {around(900, 6), Even},
	} {
		v := judged(1, c.density)
		assert.Equal(t, c.shape, v.Shape, name)
		near, beside, far := over(c.density, 20, 80), over(c.density, 100, 250), over(c.density, 275, 625)
		switch want := db(near, beside); {
		case c.shape == Even:
		case name == "wide hole":
			assert.InDelta(t, -db(near, far), v.DB, 1.2, name)
		case math.Abs(want) < leastDB:
			assert.InDelta(t, db(near, far), v.DB, 0.8, name)
		default:
			assert.InDelta(t, math.Abs(want), v.DB, 1.2, name) // the smaller or larger of two, each of sigma 0.5 dB
		}
	}
}

// Densities of exponential cells are their mean, lines or not (1 - e^-c is exact for
// the mean cut off at c, and the median is the mean times ln 2).
func TestDensityLeavesLinesOut(t *testing.T) {
	p := cells(3, func(float64) float64 { return 2 })
	assert.InEpsilon(t, 2, density(p), 0.03)
	for k := 0; k < len(p); k += 500 {
		p[k] = 1e6
	}
	assert.InEpsilon(t, 2, density(p), 0.05)
}

// What an automatic gain or an oscillator puts beside a tone is on one side of it, in
// phase or across.
func TestAGainIsNoSuppressor(t *testing.T) {
	even := Densities{Along: 1, Across: 1, Below: 1, Above: 1, Lower: 1, Higher: 1, Away: 1, Line: 1}
	for _, d := range []Densities{{10, 1, 1, 1, 1, 1, 1, 1}, {1, 10, 1, 1, 1, 1, 1, 1}, {0.1, 1, 1, 1, 1, 1, 1, 1}} {
		assert.Equal(t, even.Judge(5), d.Judge(5))
	}
	assert.Equal(t, Dense, Densities{10, 10, 1, 1, 1, 1, 1, 1}.Judge(5).Shape)
	assert.Equal(t, Hole, Densities{0.1, 0.1, 1, 1, 1, 1, 1, 1}.Judge(5).Shape)
}

// 5 sigma and 1.5 dB: none of 200 spectra of even noise is taken for another.
func TestEvenNoiseIsEven(t *testing.T) {
	for seed := range uint64(200) {
		assert.Equal(t, Even, judged(seed, func(float64) float64 { return 1 }).Shape)
	}
}

func TestLiftedFillsWhatWasTaken(t *testing.T) {
	p := cells(5, func(hz float64) float64 { return math.Max(0.1, bell(hz-toneHz, 90, 10)/10) })
	sum := 0.0
	for _, v := range Lifted(p, 250, 1) {
		sum += v
	}
	assert.InEpsilon(t, float64(len(p)), sum, 0.02)
	assert.Empty(t, Lifted(nil, 3, 1))
}
