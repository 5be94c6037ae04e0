package simulate

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/dsp/fourier"
)

// audioLevel works the discriminator's output directly, as Rice takes it
// apart: the tone at full size, Gaussian noise with the spectrum of the
// smooth part, and clicks of one cycle each. A click goes against the
// deviation more often than with it, and that is what weakens the tone near
// threshold by 1 - e^-rho. What the IF filter does to the modulation itself
// (distortion, sidebands cut off) is not in this model.
func (r FM) audioLevel(line timeline, seed uint64) []float64 {
	const (
		ahead = tapSpan / 4
		after = tapSpan - ahead
	)
	at := int64(-after)
	src := newAudioSource(r, line, seed, at)
	fft := fourier.NewFFT(blockLen)
	noise, signal := make([]float64, blockLen), make([]float64, blockLen)
	masked := make([]float64, blockLen)
	spec, sum := make([]complex128, blockLen/2+1), make([]complex128, blockLen/2+1)
	out := make([]float64, blockLen)
	volts := make([]float64, 0, line.samples()+hop)

	// Each stretch has filters of its own: its samples alone, the rest
	// silent, go through them and the results add up.
	pass := func(block []float64, from, to int, filter []complex128) {
		part := block
		if from > 0 || to < blockLen {
			clear(masked)
			copy(masked[from:to], block[from:to])
			part = masked
		}
		fft.Coefficients(spec, part)
		for k, h := range filter {
			sum[k] += spec[k] * h
		}
	}
	src.fill(noise[:tapSpan], signal[:tapSpan])
	for ; int64(len(volts)) < line.samples(); at += hop {
		src.fill(noise[tapSpan:], signal[tapSpan:])
		clear(sum)
		line.each(at, at+blockLen, func(s *stretch, from, to int64) {
			m := src.mix(s)
			pass(noise, int(from-at), int(to-at), m.noise)
			pass(signal, int(from-at), int(to-at), m.signal)
		})
		fft.Sequence(out, sum)
		volts = append(volts, out[after:after+hop]...)
		copy(noise, noise[hop:])
		copy(signal, signal[hop:])
	}
	return volts[:line.samples()]
}

// mix is what one stretch of the timeline asks of the audio-level model.
type mix struct {
	noise  []complex128 // unit white noise to volts
	signal []complex128 // tone and clicks in Hz to volts
	tone   float64      // peak Hz to feed in, so that dev*(1-e^-rho) comes out
	sub    float64
	rates  clickTable
}

// clickTable has the rates of clicks, and the share of positive ones, over
// the size of the instantaneous frequency.
type clickTable struct {
	step, top float64
	rate      [65]float64
	withShare [65]float64 // share that goes with the deviation
}

func newClickTable(peak, rms, rho float64) (c clickTable) {
	c.step = max(peak, 1) / float64(len(c.rate)-1)
	for i := range c.rate {
		fd := float64(i) * c.step
		n := ClickRate(fd, rms, rho)
		c.rate[i] = n
		if n > 0 {
			c.withShare[i] = max(0, (n-clickExcess(fd, rho))/(2*n))
		}
		c.top = max(c.top, n)
	}
	return c
}

func (c *clickTable) at(fd float64) (rate, with float64) {
	x := min(fd/c.step, float64(len(c.rate)-1)-1e-9)
	i := int(x)
	x -= float64(i)
	return c.rate[i]*(1-x) + c.rate[i+1]*x, c.withShare[i]*(1-x) + c.withShare[i+1]*x
}

func (r FM) newMix(s *stretch, audio []complex128, ahead int) *mix {
	d, rho, m := r.discNoise(), r.rho(s.dBm), new(mix)
	dev, subDev, offset := s.deviationHz, s.subHzPeak, s.offsetHz
	if rho == 0 || s.subHz <= 0 {
		subDev = 0
	}
	if rho == 0 {
		dev, offset = 0, 0
	}
	m.rates = newClickTable(dev+subDev+math.Abs(offset), d.rms, rho)
	// Of what goes in, the clicks take back e^-rho before the click filter.
	feed := func(peak, f float64) float64 {
		c := math.Sqrt(d.clickPower(f, rho))
		return peak * ((1-math.Exp(-rho))/c + math.Exp(-rho))
	}
	m.tone, m.sub = feed(dev, s.toneHz), feed(subDev, s.subHz)
	swing := cycle(offset, dev)
	const coarse = 100.0
	smooth := make([]float64, workRate/2/coarse+2)
	for i := range smooth {
		f := max(float64(i)*coarse, 1)
		smooth[i] = d.smooth(f, rho, &swing) / (f * f)
	}
	m.noise, m.signal = make([]complex128, blockLen), make([]complex128, blockLen)
	for k := range m.noise {
		f := math.Abs(binHz(k))
		// Unit white noise at workRate has density 2/workRate one-sided.
		m.noise[k] = audio[k] * complex(f*math.Sqrt(lookup(smooth, f/coarse)*workRate/2), 0)
		m.signal[k] = audio[k] * complex(math.Sqrt(max(0, d.clickPower(f, rho))), 0)
	}
	m.noise = halfSpectrum(limitTaps(m.noise, ahead))
	m.signal = halfSpectrum(limitTaps(m.signal, ahead))
	return m
}

// halfSpectrum keeps the bins of a real transform and takes out its length.
func halfSpectrum(h []complex128) []complex128 {
	h = h[:blockLen/2+1]
	for k := range h {
		h[k] /= blockLen
	}
	return h
}

// audioSource hands out unit white noise, and tone plus clicks in Hz.
type audioSource struct {
	set       FM
	line      timeline
	audio     []complex128
	mixes     map[*stretch]*mix
	noise     *rand.Rand
	clicks    *rand.Rand
	at        int64
	tone, sub float64
}

func newAudioSource(r FM, line timeline, seed uint64, at int64) *audioSource {
	phases := random(seed, streamPhases)
	a := &audioSource{
		set: r, line: line, audio: make([]complex128, blockLen), mixes: map[*stretch]*mix{},
		noise: random(seed, streamIF), clicks: random(seed, streamClicks), at: at,
		tone: 2 * math.Pi * phases.Float64(), sub: 2 * math.Pi * phases.Float64(),
	}
	for k := range a.audio {
		a.audio[k] = r.audioResponse(binHz(k))
	}
	return a
}

func (a *audioSource) mix(s *stretch) *mix {
	m := a.mixes[s]
	if m == nil {
		m = a.set.newMix(s, a.audio, tapSpan/4)
		a.mixes[s] = m
	}
	return m
}

func (a *audioSource) fill(noise, signal []float64) {
	for i := range noise {
		noise[i] = a.noise.NormFloat64()
	}
	start := a.at
	a.line.each(start, start+int64(len(noise)), func(s *stretch, from, to int64) {
		a.fillStretch(signal[from-start:to-start], s)
	})
	a.at += int64(len(noise))
}

func (a *audioSource) fillStretch(dst []float64, s *stretch) {
	m := a.mix(s)
	offset := s.offsetHz
	if math.IsInf(s.dBm, -1) {
		offset = 0
	}
	for i := range dst {
		dst[i] = offset
	}
	toneCycles, subCycles := s.toneHz/workRate, s.subHz/workRate
	addTone(dst, m.tone, toneCycles, a.tone)
	if m.sub > 0 {
		addTone(dst, m.sub, subCycles, a.sub)
	}
	a.addClicks(dst, s, m)
	a.tone = turn(a.tone + 2*math.Pi*toneCycles*float64(len(dst)))
	a.sub = turn(a.sub + 2*math.Pi*subCycles*float64(len(dst)))
}

// addClicks lays clicks as a Poisson process whose rate follows the
// instantaneous frequency: candidates at the highest rate, thinned.
func (a *audioSource) addClicks(dst []float64, s *stretch, m *mix) {
	if m.rates.top <= 0 {
		return
	}
	step := workRate / m.rates.top
	dev, offset := s.deviationHz, s.offsetHz
	if math.IsInf(s.dBm, -1) {
		dev, offset = 0, 0
	}
	for t := a.clicks.ExpFloat64() * step; t < float64(len(dst)); t += a.clicks.ExpFloat64() * step {
		fd := offset + dev*math.Cos(a.tone+2*math.Pi*s.toneHz/workRate*t)
		if m.sub > 0 {
			fd += s.subHzPeak * math.Cos(a.sub+2*math.Pi*s.subHz/workRate*t)
		}
		rate, with := m.rates.at(math.Abs(fd))
		if a.clicks.Float64()*m.rates.top >= rate {
			continue
		}
		size := float64(workRate) // one cycle within one sample
		if (a.clicks.Float64() < with) != (fd >= 0) {
			size = -size
		}
		dst[int(t)] += size
	}
}
