package mains

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/dft"
)

// tally counts how often intervals and bounds hold the truth.
type tally struct{ told, held, narrow, bounds, boundHeld int }

func (t *tally) add(l Level, truth float64) (bias float64) {
	if !l.Found {
		t.bounds++
		// A lone line that stands where a standard tone does is named beside the bound.
		if truth <= l.High {
			t.boundHeld++
		}
		return 0
	}
	t.told++
	if truth >= l.Low && truth <= l.High {
		t.held++
	}
	if truth >= l.Value-0.7*(l.Value-l.Low) && truth <= l.Value+0.7*(l.High-l.Value) {
		t.narrow++
	}
	return db(l.Value) - db(truth)
}

func (t *tally) join(o tally) {
	t.told, t.held, t.narrow = t.told+o.told, t.held+o.held, t.narrow+o.narrow
	t.bounds, t.boundHeld = t.bounds+o.bounds, t.boundHeld+o.boundHeld
}

func (t tally) share() float64 { return float64(t.held) / math.Max(1, float64(t.told)) }

// fewer are the runs of long recordings, which take longer.
func fewer(runs int, seconds float64) int {
	if seconds > 5 {
		return runs / 3
	}
	return runs
}

// cell is one kind of sound of one length.
func cell(t *testing.T, name string, runs int, seconds float64, seed uint64, make func(r *rand.Rand, d drawn) sound) tally {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, uint64(seconds*1000)))
	var all tally
	sum := 0.0
	for range runs {
		d := draw(r, []int{1, 2, 4, 8}[r.IntN(4)])
		sum += all.add(make(r, d).read(0), d.power())
	}
	t.Logf("%-22s %3g s: told %3d, holds %5.1f %%, narrowed %5.1f %%, bias %+.2f dB; bounds %d, hold %d", name, seconds, all.told,
		100*all.share(), 100*float64(all.narrow)/math.Max(1, float64(all.told)), sum/math.Max(1, float64(all.told)), all.bounds, all.boundHeld)
	return all
}

func long() bool { return os.Getenv("HISSPOINT_LONG") == "1" }

// The interval of a family of 1 to 8 lines in white noise holds the truth, which is
// known in closed form, 95 % of the time; one narrowed by 30 % is noticed. Bounds
// hold at least as often. HISSPOINT_LONG=1 tries more, and other sounds.
func TestLevelHoldsTheTruth(t *testing.T) {
	lengths, runs, seed := []float64{1, 2}, 50, uint64(4100)
	if long() {
		lengths, runs, seed = []float64{1, 2, 5, 15}, 300, 8200
	}
	var all tally
	for _, seconds := range lengths {
		for _, snr := range []float64{12, 20, 30, 40} {
			all.join(cell(t, fmt.Sprintf("white, %g dB", snr), fewer(runs, seconds), seconds, seed+uint64(snr), func(r *rand.Rand, d drawn) sound {
				return silence(seconds).white(r, noiseAt(snr)).family(r, d)
			}))
		}
	}
	require.Greater(t, all.told, len(lengths)*2*runs)
	sd := math.Sqrt(0.05 * 0.95 / float64(all.told))
	t.Logf("all: %.1f %% of %d, bounds %d of %d", 100*all.share(), all.told, all.boundHeld, all.bounds)
	assert.InDelta(t, 0.95, all.share(), 3*sd)
	assert.Less(t, float64(all.narrow)/float64(all.told), 0.95-3*sd, "narrowed by 30 %")
	assert.Greater(t, float64(all.boundHeld), 0.9*float64(all.bounds))
}

// What noise that is neither white nor Gaussian and mains that are not still reach.
func TestLevelInOtherSounds(t *testing.T) {
	if !long() {
		t.Skip("HISSPOINT_LONG is not 1: hum is not tried in FM and with mains that wander")
	}
	const most = 150
	for _, seconds := range []float64{1, 2, 5, 15} {
		runs := fewer(most, seconds)
		for _, snr := range []float64{12, 20, 30} {
			cell(t, fmt.Sprintf("coloured, %g dB", snr), runs, seconds, 6300+uint64(snr), func(r *rand.Rand, d drawn) sound {
				return silence(seconds).white(r, 4*noiseAt(snr)).coloured().family(r, d)
			})
		}
		for _, cn := range []float64{3, 8} {
			cell(t, fmt.Sprintf("FM, %g dB C/N", cn), runs, seconds, 6400+uint64(cn), func(r *rand.Rand, d drawn) sound {
				return silence(seconds).clicks(r, cn).family(r, d)
			})
		}
		for _, wander := range []float64{0.01, 0.03, 0.1} {
			cell(t, fmt.Sprintf("wander %g Hz", wander), runs, seconds, 6500+uint64(1000*wander), func(r *rand.Rand, d drawn) sound {
				return silence(seconds).white(r, noiseAt(30)).wandering(r, d, wander)
			})
		}
	}
}

// Noise has no hum, whatever its colour: at most 1 in 500.
func TestNoFalseHum(t *testing.T) {
	lengths, runs := []float64{0.5, 1, 2}, 120
	if long() {
		lengths, runs = []float64{0.5, 1, 2, 5, 15}, 1000
	}
	r := rand.New(rand.NewPCG(9600, 1))
	wrong, tried := 0, 0
	for _, seconds := range lengths {
		n, runs := 0, fewer(runs, seconds)
		for i := range runs {
			s := silence(seconds).white(r, 1e-9)
			if i%2 == 1 {
				s = s.coloured()
			}
			if s.read([]float64{0, 0, 50}[i%3]).Found {
				n++
			}
		}
		t.Logf("%4g s: %d of %d", seconds, n, runs)
		wrong, tried = wrong+n, tried+runs
	}
	// The largest count that 1 in 500 passes once in a thousand times (Poisson).
	mean := float64(tried) / 500
	assert.LessOrEqual(t, float64(wrong), mean+3.1*math.Sqrt(mean)+1, "of %d", tried)
}

// coloured is noise behind a de-emphasis of 750 us and a high-pass of 200 Hz of two poles.
func (s sound) coloured() sound {
	low, high := 1-math.Exp(-1/(750e-6*testRate)), math.Exp(-2*math.Pi*200/testRate)
	var a, x1, y1, x2, y2 float64
	for i, x := range s {
		a += low * (x - a)
		y1 = high * (y1 + a - x1)
		x1 = a
		y2 = high * (y2 + y1 - x2)
		x2 = y1
		s[i] = 4 * y2
	}
	return s
}

// clicks is the noise of a limiter and discriminator near its threshold: a carrier of
// the mean square 1 with complex noise in 7.5 kHz, the angle from sample to sample. A
// deviation of 1.2 kHz is -20 dBFS. It is resampled in the frequency domain.
func (s sound) clicks(r *rand.Rand, cn float64) sound {
	const rate, noise = 8 * testRate, 7500.0
	n := 8 * len(s)
	z := make([]complex128, dft.Smooth(n))
	sd := math.Sqrt(math.Pow(10, -cn/10) / 2 * rate / noise)
	for i := range z {
		z[i] = complex(sd*r.NormFloat64(), sd*r.NormFloat64())
	}
	// Of a complex spectrum of m bins the noise within +-3.75 kHz passes.
	z = dft.InverseComplex(z)
	m := len(z)
	edge := int(noise / 2 / rate * float64(m))
	for k := edge + 1; k < m-edge; k++ {
		z[k] = 0
	}
	z = dft.InverseComplex(z)
	scale := complex(float64(m), 0) // two inverses, each over m
	x := make([]float64, m)
	last := complex(1, 0)
	for i := range m {
		now := 1 + z[i]*scale
		x[i] = cmplx.Phase(now*cmplx.Conj(last)) / (2 * math.Pi) * rate / 1200 * 0.1
		last = now
	}
	c := dft.Forward(nil, x)
	m2 := m / 8 * 2 / 2
	m2 -= m2 % 2
	y := dft.Inverse(nil, append([]complex128(nil), c[:m2/2+1]...), m2)
	for i := range s {
		s[i] += y[i%len(y)] * float64(m2) / float64(m)
	}
	return s
}

// wandering is a family whose mains go to and fro by so many Hz within 7 s.
func (s sound) wandering(r *rand.Rand, d drawn, hz float64) sound {
	phase := 2 * math.Pi * r.Float64()
	start := [13]float64{}
	for k := range start {
		start[k] = 2 * math.Pi * r.Float64()
	}
	at := 0.0
	for i := range s {
		at += 2 * math.Pi * (d.hz + hz*math.Sin(2*math.Pi*float64(i)/testRate/7+phase)) / testRate
		for k, l := range d.orders {
			s[i] += math.Pow(10, l/20) * math.Cos(float64(k)*at+start[k])
		}
	}
	return s
}
