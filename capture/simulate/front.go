package simulate

import (
	"math"
	"math/rand/v2"

	"hisspoint/capture/dft"
)

// front is what AM and SSB sets have before their detector: losses, noise
// and the IF filter.
type front struct {
	noiseFigureDB, lossDB float64
	bandwidthHz           float64
	poles                 int
	centreHz              float64 // middle of the IF filter from the channel
	tuningHz              float64 // the set's own frequency error: it stands this far above its channel
	immunity              Immunity
}

func (f front) floorDBm() float64 {
	return NoiseDensityDBm + 10*math.Log10(f.bandwidthHz) + f.noiseFigureDB + f.lossDB
}

// rho is the carrier-to-noise ratio of a carrier in the middle of the IF.
func (f front) rho(dBm float64) float64 { return math.Pow(10, (dBm-f.floorDBm())/10) }

// power is |H|^2 of the IF filter at a distance from the channel.
func (f front) power(hz float64) float64 {
	return bandPower(hz-f.tuningHz-f.centreHz, f.bandwidthHz, f.poles)
}

// gain is |H| at a distance from the channel of the set.
func (f front) gain(hz float64) float64 {
	return math.Sqrt(bandPower(hz-f.centreHz, f.bandwidthHz, f.poles))
}

// bandPower is |H|^2 of an IF filter of a noise bandwidth at f from its
// middle: a rectangle without poles, else a Butterworth band-pass.
func bandPower(f, bandwidth float64, poles int) float64 {
	f = math.Abs(f)
	if poles <= 0 {
		switch half := bandwidth / 2; {
		case f < half:
			return 1
		case f > half:
			return 0
		}
		return 0.5
	}
	// Noise bandwidth of a Butterworth low-pass, each side:
	// corner * (pi/2n) / sin(pi/2n).
	x := math.Pi / float64(2*poles)
	return butterworthPower(f, bandwidth/2*math.Sin(x)/x, poles)
}

// signal adds a carrier of amplitude 1 to n samples from a time on; an AM
// set's is modulated, an SSB set's is not.
type signal func(s *stretch, at int64, amplitude float64, z []complex128, jitter []float64)

// receive gives n samples of the IF as complex baseband at workRate, from
// sample from of the timeline on: noise of power 1 and the carrier.
func (f front) receive(line timeline, seed uint64, from, n int64, add signal) []complex128 {
	const after = tapSpan / 2
	h := make([]complex128, blockLen)
	for k := range h {
		h[k] = complex(f.gain(binHz(k)), 0)
	}
	h = kaiserTaps(h)
	noisePower := 0.0
	for _, v := range h {
		noisePower += real(v)*real(v) + imag(v)*imag(v)
	}
	// White noise of power P in leaves P * mean|H|^2; this makes it 1.
	sigma := math.Sqrt(blockLen / noisePower / 2)
	in := n + tapSpan
	z := make([]complex128, in)
	noise, residual := random(seed, streamIF), random(seed, streamResidual)
	start := from - after
	line.each(start, start+in, func(s *stretch, a, b int64) {
		part := z[a-start : b-start]
		jam, _ := f.immunity.jamRatio(s, f.floorDBm(), f.power)
		level := sigma * math.Sqrt(1+jam)
		for k := range part {
			part[k] = complex(level*noise.NormFloat64(), level*noise.NormFloat64())
		}
		if amplitude := math.Sqrt(f.rho(s.dBm)); amplitude > 0 {
			add(s, a, amplitude, part, jitter(s, residual, len(part)))
		}
	})
	return convolveComplex(z, h, int(n), after)
}

// jitter is the generator's residual FM as steps of frequency whose sum is a
// phase; nil if it has none. A sum of samples rises towards half the rate, by
// x/sin x with x = pi f/rate; the average with the neighbours flattens that to
// first order.
func jitter(s *stretch, residual *rand.Rand, n int) []float64 {
	if s.residualHz == 0 {
		return nil
	}
	out := make([]float64, n)
	const side = 1.0 / 24
	before, now := residual.NormFloat64(), residual.NormFloat64()
	for i := range out {
		next := residual.NormFloat64()
		out[i] = s.residualHz * (now + side*(before+next-2*now))
		before, now = now, next
	}
	return out
}

// convolveComplex filters complex samples; output 0 stands at input after.
func convolveComplex(x []complex128, h response, n, after int) []complex128 {
	z, sum := make([]complex128, blockLen), make([]complex128, blockLen)
	out := make([]complex128, 0, n+hop)
	for at := 0; len(out) < n; at += hop {
		clear(z[copy(z, x[min(at, len(x)):]):])
		dft.Complex(z)
		clear(sum)
		h.accumulate(sum, z)
		out = append(out, dft.InverseComplex(sum)[after:][:hop]...)
	}
	return out[:n]
}

// convolve filters real samples; output 0 stands at input after. What lies
// beyond the input is silent.
func convolve(x []float64, h response, n, after int) []float64 {
	blocks, span := newTwin(), make([]float64, twinLen)
	out := make([]float64, 0, n+2*hop)
	for at := 0; len(out) < n; at += 2 * hop {
		clear(span[copy(span, x[min(at, len(x)):]):])
		blocks.reset()
		blocks.add(span, 0, twinLen, h)
		out = blocks.result(out, after)
	}
	return out[:n]
}

// realBins is a response over the bins of a block, of a filter whose impulse
// response is real.
func realBins(at func(hz float64) complex128) []complex128 {
	h := make([]complex128, blockLen)
	for k := 0; k <= blockLen/2; k++ {
		v := at(binHz(k))
		h[k] = v
		if k > 0 {
			h[blockLen-k] = complex(real(v), -imag(v))
		}
	}
	h[blockLen/2] = complex(real(h[blockLen/2]), 0)
	return h
}

const (
	audioAhead = tapSpan / 4
	audioAfter = tapSpan - audioAhead
	// settle is how long, in samples, an AM or SSB set plays before its
	// recording begins, so that gain control and couplings have settled.
	settle = workRate / 2
)

// detected is from audio behind an AM or SSB set's detector to its speaker;
// the audio begins settle+audioAfter samples before time 0.
func (a AudioStage) detected(audio []float64, gain float64, line timeline, q Squelch, seed uint64) []float64 {
	n := int(line.samples())
	h := realBins(func(f float64) complex128 { return complex(gain*guard(f), 0) * a.response(f) })
	volts := convolve(audio[settle:], limitTaps(h, audioAhead), n, audioAfter)
	a.speak(volts, line, q, seed)
	return volts
}

// magnitude of a complex number.
func magnitude(v complex128) float64 { return math.Hypot(real(v), imag(v)) }

// decibels is 20 log10 of a ratio of amplitudes.
func decibels(ratio float64) float64 { return 20 * math.Log10(ratio) }
