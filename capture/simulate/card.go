package simulate

import (
	"fmt"
	"math"
	"sync"
)

// SoundCard takes the speaker's voltage to samples.
type SoundCard struct {
	Rate           int     // nominal samples a second, as the file says
	Bits           int     // 8 to 24; 0 means no rounding at all
	FullScaleVolts float64 // above 0: RMS volts of a sine that just reaches full scale, the input gain
	NoiseDBFS      float64 // white noise of its own, RMS over the whole band; 0 means none
	DC             float64 // full scales
	CouplingHz     float64 // corner of its input capacitor, one pole; 0: it passes DC
	RateErrorPPM   float64 // true rate is Rate*(1 + ppm/1e6)
}

// Describe says in one line what the card is.
func (c SoundCard) Describe() string {
	return fmt.Sprintf("sound card %d Hz, %d bits, clock error %g ppm", c.Rate, c.Bits, c.RateErrorPPM)
}

// cardMargin is how long, in seconds, the set must play before and after the
// recording for the card's filter.
const cardMargin = 0.01

func (c SoundCard) capture(volts []float64, seconds float64, seed uint64) []float64 {
	if c.CouplingHz > 0 {
		volts = couple(volts, c.CouplingHz)
	}
	out := c.resample(volts, int(math.Round(seconds*float64(c.Rate))))
	gain := 1 / (c.FullScaleVolts * math.Sqrt2)
	noise := 0.0
	if c.NoiseDBFS < 0 {
		// 0 dBFS is the RMS of a full-scale sine, 1/sqrt 2.
		noise = math.Pow(10, c.NoiseDBFS/20) / math.Sqrt2
	}
	rng := random(seed, streamCard)
	steps, top := math.Exp2(float64(c.Bits-1)), 1.0
	step := 1 / steps
	if c.Bits > 0 {
		top = 1 - step
	}
	for i, v := range out {
		x := v*gain + c.DC
		if noise > 0 {
			x += noise * rng.NormFloat64()
		}
		if c.Bits > 0 {
			x = math.RoundToEven(x*steps) * step
		}
		if x > top {
			x = top
		} else if x < -1 {
			x = -1
		}
		out[i] = x
	}
	return out
}

const (
	kernelHalf   = 10  // zero crossings each side of the interpolating kernel
	kernelSteep  = 24  // the same for a card below workRate, flat to 0.43 of its rate
	kernelPhases = 256 // table rows between two input samples
	kernelBeta   = 9
)

// resample takes n samples at the card's true rate, the first cardMargin
// into the input, by band-limited
// interpolation: a Kaiser-windowed sinc that also keeps out what the card's
// rate cannot hold. Between table rows it is linear, which costs less than
// -115 dB at 3 kHz.
func (c SoundCard) resample(in []float64, n int) []float64 {
	trueRate := float64(c.Rate) * (1 + c.RateErrorPPM*1e-6)
	cut := min(1, float64(c.Rate)/workRate) // of the input's Nyquist
	half := kernelHalf
	if cut < 1 {
		half = int(math.Ceil(kernelSteep / cut))
	}
	table := kernel(half, cut)
	out := make([]float64, n)
	step := workRate / trueRate
	for i := range out {
		x := cardMargin*workRate + step*float64(i)
		whole := int(x)
		part := (x - float64(whole)) * kernelPhases
		row := int(part)
		part -= float64(row)
		// kernel covers inputs whole-half+1 .. whole+half
		at := whole - half + 1
		src := in[at : at+2*half]
		if part > 1e-9 && part < 1-1e-9 {
			out[i] = dotBetween(src, table[row], table[row+1], part)
		} else {
			out[i] = dot(src, table[row+int(math.Round(part))])
		}
	}
	return out
}

func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1 float64
	for i := 0; i+1 < len(a); i += 2 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
	}
	return s0 + s1
}

// dotBetween is the product with a row that lies part of the way from a to b.
func dotBetween(x, a, b []float64, part float64) float64 {
	a, b = a[:len(x)], b[:len(x)]
	var s0, s1, t0, t1 float64
	for len(x) >= 2 && len(a) >= 2 && len(b) >= 2 { // no bounds left to check inside
		s0 += x[0] * a[0]
		t0 += x[0] * b[0]
		s1 += x[1] * a[1]
		t1 += x[1] * b[1]
		x, a, b = x[2:], a[2:], b[2:]
	}
	s, t := s0+s1, t0+t1
	return s + part*(t-s)
}

type kernelKey struct {
	half int
	cut  float64
}

var kernels sync.Map // kernelKey -> [][]float64; a memory of a pure function

func kernel(half int, cut float64) [][]float64 {
	key := kernelKey{half, cut}
	if t, ok := kernels.Load(key); ok {
		return t.([][]float64)
	}
	t, _ := kernels.LoadOrStore(key, kernelTable(half, cut))
	return t.([][]float64)
}

// kernelTable has row p for an output p/kernelPhases after an input sample;
// each row is normalised to pass DC unchanged.
func kernelTable(half int, cut float64) [][]float64 {
	table := make([][]float64, kernelPhases+1)
	for p := range table {
		row := make([]float64, 2*half)
		sum := 0.0
		for j := range row {
			d := float64(j-half+1) - float64(p)/kernelPhases
			w := 1 - d*d/float64(half*half)
			if w <= 0 {
				continue
			}
			v := cut
			if d != 0 {
				v = math.Sin(math.Pi*d*cut) / (math.Pi * d)
			}
			row[j] = v * bessel0(kernelBeta*math.Sqrt(w)) / bessel0(kernelBeta)
			sum += row[j]
		}
		for j := range row {
			row[j] /= sum
		}
		table[p] = row
	}
	return table
}
