package simulate

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/dsp/fourier"
)

// oversample times workRate is the rate at which the discriminator takes
// phase differences.
const oversample = 4

// carrierLevel works the IF as complex baseband: a frequency-modulated
// carrier of power rho in complex Gaussian noise of power 1 after the IF
// filter, then limiter and discriminator. Times line up with the timeline:
// what the filters look ahead is fetched ahead.
func (r FM) carrierLevel(line timeline, seed uint64) []float64 {
	const (
		ifAfter    = tapSpan / 2
		audioAhead = tapSpan / 4
		audioAfter = tapSpan - audioAhead
		fine       = blockLen * oversample
		fineHop    = hop * oversample
		fineRate   = workRate * oversample
	)
	ifFilter := r.ifResponse()
	audio := r.discriminatorAudio(audioAhead)
	noisePower := 0.0
	for _, h := range ifFilter {
		noisePower += real(h)*real(h) + imag(h)*imag(h)
	}
	// White noise of power P in leaves P * mean|H|^2; this makes it 1.
	sigma := math.Sqrt(blockLen / noisePower / 2)

	// The first block's audio would need discriminator samples from before
	// the start, so it is thrown away and the second begins at time 0.
	at := int64(-hop - ifAfter - audioAfter + tapSpan)
	src := newCarrierSource(r, line, seed, sigma, at)
	small, large := fourier.NewCmplxFFT(blockLen), fourier.NewCmplxFFT(fine)
	fineFFT, outFFT := fourier.NewFFT(fine), fourier.NewFFT(blockLen)
	block := make([]complex128, blockLen)
	spec := make([]complex128, blockLen)
	wide := make([]complex128, fine)
	z := make([]complex128, fine)
	freq := make([]float64, fine)
	fineSpec := make([]complex128, fine/2+1)
	outSpec := make([]complex128, blockLen/2+1)
	out := make([]float64, blockLen)
	volts := make([]float64, 0, line.samples())

	src.fill(block[:tapSpan])
	last := complex(1, 0)
	for pass := 0; int64(len(volts)) < line.samples(); pass++ {
		src.fill(block[tapSpan:])
		small.Coefficients(spec, block)
		copy(block, block[hop:])
		clear(wide)
		for k := range blockLen / 2 {
			wide[k] = spec[k] * ifFilter[k]
		}
		for k := 1; k < blockLen/2; k++ {
			wide[fine-k] = spec[blockLen-k] * ifFilter[blockLen-k]
		}
		large.Sequence(z, wide)
		copy(freq, freq[fineHop:])
		last = discriminate(freq[fine-fineHop:], z[ifAfter*oversample:], last, fineRate)
		if pass == 0 {
			continue
		}
		fineFFT.Coefficients(fineSpec, freq)
		for k := range outSpec {
			outSpec[k] = fineSpec[k] * audio[k]
		}
		outFFT.Sequence(out, outSpec)
		volts = append(volts, out[audioAfter:audioAfter+hop]...)
	}
	return volts[:line.samples()]
}

// discriminate writes the instantaneous frequency in Hz of each step from
// one sample of z to the next. The limiter is in it: only angles count.
func discriminate(freq []float64, z []complex128, last complex128, rate float64) complex128 {
	scale := rate / (2 * math.Pi)
	for i := range freq {
		now := z[i]
		re := real(now)*real(last) + imag(now)*imag(last)
		im := imag(now)*real(last) - real(now)*imag(last)
		freq[i] = scale * math.Atan2(im, re)
		last = now
	}
	return last
}

// discriminatorAudio is the audio response from fine-rate phase differences
// to workRate samples. A phase difference is the mean frequency over a step,
// half a step ago: the sinc and the delay of that are taken out here.
func (r FM) discriminatorAudio(ahead int) []complex128 {
	h := make([]complex128, blockLen)
	for k := range h {
		h[k] = r.audioResponse(binHz(k))
	}
	h = limitTaps(h, ahead)
	for k := range h {
		x := math.Pi * binHz(k) / (workRate * oversample)
		sinc := 1.0
		if x != 0 {
			sinc = math.Sin(x) / x
		}
		// 1/fine undoes the unnormalised transform pair.
		h[k] *= complex(math.Cos(x), math.Sin(x)) / complex(sinc*blockLen*oversample, 0)
	}
	return h
}

// carrierSource hands out carrier plus white noise at workRate.
type carrierSource struct {
	set   FM
	line  timeline
	noise *rand.Rand
	sigma float64
	at    int64
	tone  float64 // phases in radians
	sub   float64
	base  float64
}

func newCarrierSource(r FM, line timeline, seed uint64, sigma float64, at int64) *carrierSource {
	phases := random(seed, streamPhases)
	return &carrierSource{
		set: r, line: line, noise: random(seed, streamIF), sigma: sigma, at: at,
		tone: 2 * math.Pi * phases.Float64(), sub: 2 * math.Pi * phases.Float64(), base: 2 * math.Pi * phases.Float64(),
	}
}

func (c *carrierSource) fill(dst []complex128) {
	start := c.at
	c.line.each(start, start+int64(len(dst)), func(s *stretch, from, to int64) {
		c.fillStretch(dst[from-start:to-start], s)
	})
	c.at += int64(len(dst))
}

func (c *carrierSource) fillStretch(dst []complex128, s *stretch) {
	const perSample = 2 * math.Pi / workRate
	amplitude := math.Sqrt(c.set.rho(s.dBm))
	index, subIndex := s.deviationHz/s.toneHz, 0.0
	if s.subHz > 0 {
		subIndex = s.subHzPeak / s.subHz
	}
	for i := range dst {
		re, im := c.sigma*c.noise.NormFloat64(), c.sigma*c.noise.NormFloat64()
		if amplitude > 0 {
			sin, cos := math.Sincos(c.base + index*math.Sin(c.tone) + subIndex*math.Sin(c.sub))
			re, im = re+amplitude*cos, im+amplitude*sin
		}
		dst[i] = complex(re, im)
		c.tone += perSample * s.toneHz
		c.sub += perSample * s.subHz
		c.base += perSample * s.offsetHz
	}
	c.tone, c.sub, c.base = turn(c.tone), turn(c.sub), turn(c.base)
}

// turn brings a phase back to within one turn, so that long runs lose no digits.
func turn(a float64) float64 { return math.Mod(a, 2*math.Pi) }
