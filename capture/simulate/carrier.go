package simulate

import (
	"math"
	"math/rand/v2"

	"hisspoint/capture/dft"
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
	)
	ifFilter := r.ifResponse()
	audio := response(r.discriminatorAudio(audioAhead))
	noisePower := 0.0
	for _, h := range ifFilter {
		noisePower += real(h)*real(h) + imag(h)*imag(h)
	}
	// White noise of power P in leaves P * mean|H|^2; this makes it 1.
	sigma := math.Sqrt(blockLen / noisePower / 2)

	// The discriminator's span is fed a hop at a time, and its audio is made
	// two hops at a time. The first round lacks the discriminator samples
	// before the start, so it is thrown away and the second begins at time 0.
	at := int64(-2*hop - ifAfter - audioAfter + tapSpan)
	stage := newIFStage(ifFilter, newCarrierSource(r, line, seed, sigma, at))
	stage.curve = r.Discriminator
	freq := make([]float64, fine+fineHop)
	z, blocks := make([]complex128, fine), newTwin()
	volts := make([]float64, 0, line.samples()+2*hop)
	for round := 0; int64(len(volts)) < line.samples(); round++ {
		copy(freq, freq[2*fineHop:])
		stage.next(freq[fine-fineHop:fine], ifAfter)
		stage.next(freq[fine:], ifAfter)
		if round == 0 {
			continue
		}
		for i := range z {
			z[i] = complex(freq[i], freq[fineHop+i])
		}
		dft.Complex(z)
		blocks.reset()
		audio.accumulate(blocks.sum, foldBins(z))
		volts = blocks.result(volts, audioAfter)
	}
	return volts[:line.samples()]
}

// foldBins brings the bins of a fine-rate spectrum that workRate can hold
// together at the front; the audio response leaves nothing of the others.
func foldBins(x []complex128) []complex128 {
	copy(x[blockLen/2:blockLen], x[len(x)-blockLen/2:])
	return x[:blockLen]
}

// ifStage is IF filter, interpolation, limiter and discriminator.
type ifStage struct {
	curve  Discriminator
	filter []complex128
	src    *carrierSource
	block  []complex128
	bins   []complex128 // of block
	fine   []complex128 // at the fine rate
	last   complex128
}

func newIFStage(filter []complex128, src *carrierSource) *ifStage {
	const fine = blockLen * oversample
	s := &ifStage{
		filter: filter, src: src, block: make([]complex128, blockLen),
		bins: make([]complex128, blockLen), fine: make([]complex128, fine), last: 1,
	}
	src.fill(s.block[:tapSpan])
	return s
}

// next writes the next hop of instantaneous frequency at the fine rate.
func (s *ifStage) next(freq []float64, after int) {
	s.src.fill(s.block[tapSpan:])
	copy(s.bins, s.block)
	copy(s.block, s.block[hop:])
	dft.Complex(s.bins)
	clear(s.fine)
	for k, h := range s.filter {
		to := k
		if k > blockLen/2 {
			to = len(s.fine) - blockLen + k
		}
		s.fine[to] = s.bins[k] * h
	}
	s.last = discriminate(freq, dft.InverseComplex(s.fine)[after*oversample:], s.last)
	if s.curve != (Discriminator{}) {
		for i, f := range freq {
			freq[i] = s.curve.at(f)
		}
	}
}

// discriminate writes the instantaneous frequency in Hz of each step from
// one sample of the carrier to the next. The limiter is in it: only angles
// count.
func discriminate(freq []float64, z []complex128, last complex128) complex128 {
	const scale = workRate * oversample / (2 * math.Pi)
	x, y := real(last), imag(last)
	for i := range freq {
		u, v := real(z[i]), imag(z[i])
		freq[i] = scale * math.Atan2(v*x-u*y, u*x+v*y)
		x, y = u, v
	}
	return complex(x, y)
}

// discriminatorAudio is the audio response from fine-rate phase differences
// to workRate samples. A phase difference is the mean frequency over a step,
// half a step ago: the sinc and the delay of that are taken out here.
func (r FM) discriminatorAudio(ahead int) []complex128 {
	h := limitTaps(r.audioBins(), ahead)
	for k := range h {
		x := math.Pi * binHz(k) / (workRate * oversample)
		sinc := 1.0
		if x != 0 {
			sinc = math.Sin(x) / x
		}
		// The fine transform sums oversample times as many samples.
		h[k] *= complex(math.Cos(x), math.Sin(x)) / complex(sinc*oversample, 0)
	}
	return h
}

// carrierSource hands out carrier plus white noise at workRate.
type carrierSource struct {
	steps              []float64 // of a modulating wave, in Hz a sample
	set                FM
	line               timeline
	noise              *rand.Rand
	sigma              float64
	at                 int64
	residual           *rand.Rand
	tone               float64 // phases in radians
	sub                float64
	base               float64
	second, secondTone float64 // of a second carrier on the channel
}

func newCarrierSource(r FM, line timeline, seed uint64, sigma float64, at int64) *carrierSource {
	phases := random(seed, streamPhases)
	return &carrierSource{
		set: r, line: line, noise: random(seed, streamIF), sigma: sigma, at: at, residual: random(seed, streamResidual),
		tone: 2 * math.Pi * phases.Float64(), sub: 2 * math.Pi * phases.Float64(), base: 2 * math.Pi * phases.Float64(),
	}
}

func (c *carrierSource) fill(dst []complex128) {
	start := c.at
	c.line.each(start, start+int64(len(dst)), func(s *stretch, from, to int64) {
		c.fillStretch(dst[from-start:to-start], s, from)
	})
	c.at += int64(len(dst))
}

func (c *carrierSource) fillStretch(dst []complex128, s *stretch, at int64) {
	const perSample = 2 * math.Pi / workRate
	rho, second := c.set.received(s)
	amplitude := math.Sqrt(rho)
	shake := jitter(s, c.residual, len(dst))
	if s.wave != nil {
		shake = c.waved(s, shake, at, len(dst))
	}
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
		if shake != nil {
			c.base += perSample * shake[i]
		}
	}
	if second > 0 {
		c.addSecond(dst, s.jam, math.Sqrt(second))
	}
	c.tone, c.sub, c.base = turn(c.tone), turn(c.sub), turn(c.base)
}

// waved adds the steps of phase of a modulating wave to those of the jitter.
// The step from one sample to the next is the wave's mean over it, so that
// the phase is the integral of the wave as it runs between the samples.
func (c *carrierSource) waved(s *stretch, shake []float64, at int64, n int) []float64 {
	if c.steps == nil {
		h := response(limitTaps(realBins(func(f float64) complex128 {
			x := math.Pi * f / workRate
			if x == 0 {
				return 1
			}
			mean := math.Sin(x) / x
			return complex(mean*math.Cos(x), mean*math.Sin(x)) // ahead: the step that begins here
		}), audioAhead))
		in := append(make([]float64, audioAfter), s.wave...)
		c.steps = convolve(append(in, make([]float64, audioAhead)...), h, len(s.wave), audioAfter)
	}
	steps := (&stretch{wave: c.steps, waveFrom: s.waveFrom}).modulation(at, n)
	for i := range shake {
		steps[i] += shake[i]
	}
	return steps
}

// addSecond adds a second carrier on the channel.
func (c *carrierSource) addSecond(dst []complex128, jam *Interferer, amplitude float64) {
	const perSample = 2 * math.Pi / workRate
	tone := first(jam.ToneHz, 400)
	for i := range dst {
		sin, cos := math.Sincos(c.second + jam.DeviationHz/tone*math.Sin(c.secondTone))
		dst[i] += complex(amplitude*cos, amplitude*sin)
		c.secondTone += perSample * tone
		// Two generators never agree to the hertz.
		c.second += perSample * (secondOffsetHz - c.set.TuningErrorHz - c.set.IFErrorHz)
	}
	c.second, c.secondTone = turn(c.second), turn(c.secondTone)
}

// secondOffsetHz is how far a second carrier on the channel stands off it.
const secondOffsetHz = 37

// turn brings a phase back to within one turn, so that long runs lose no digits.
func turn(a float64) float64 { return math.Mod(a, 2*math.Pi) }
