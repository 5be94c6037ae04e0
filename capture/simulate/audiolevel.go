package simulate

import (
	"math"
	"math/rand/v2"
)

// audioLevel works the discriminator's output directly, as Rice takes it
// apart: the modulation as the IF filter leaves it, Gaussian noise with the
// spectrum of the smooth part, and clicks of one cycle each. A click goes
// against the deviation more often than with it, and that is what weakens
// the tone near threshold by 1 - e^-rho.
func (r FM) audioLevel(line timeline, seed uint64) []float64 {
	const (
		ahead = tapSpan / 4
		after = tapSpan - ahead
	)
	at := int64(-after)
	src := newAudioSource(r, line, seed, at)
	noise, signal := make([]float64, twinLen), make([]float64, twinLen)
	blocks := newTwin()
	volts := make([]float64, 0, line.samples()+2*hop)
	src.fill(noise[:tapSpan], signal[:tapSpan])
	for ; int64(len(volts)) < line.samples(); at += 2 * hop {
		src.fill(noise[tapSpan:], signal[tapSpan:])
		// Each stretch has filters of its own: its samples alone, the rest
		// silent, go through them and the results add up.
		blocks.reset()
		line.each(at, at+twinLen, func(s *stretch, from, to int64) {
			m := src.mix(s)
			blocks.add(noise, int(from-at), int(to-at), m.noise)
			blocks.add(signal, int(from-at), int(to-at), m.signal)
		})
		volts = blocks.result(volts, after)
		copy(noise, noise[2*hop:])
		copy(signal, signal[2*hop:])
	}
	return volts[:line.samples()]
}

// mix is what one stretch of the timeline asks of the audio-level model.
type mix struct {
	noise    response  // unit white noise to volts
	signal   response  // tone and clicks in Hz to volts
	tone     []partial // to feed in, so that 1-e^-rho of the modulation comes out
	sub      float64
	slope    float64 // of the discriminator, for what is not tone
	residual float64 // of the generator, Hz a sample
	rates    clickTable
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
	d, m := r.discNoise(), new(mix)
	rho, _ := r.received(s)
	dev, subDev, offset := s.deviationHz, s.subHzPeak, s.offsetHz
	if rho == 0 || s.subHz <= 0 {
		subDev = 0
	}
	if rho == 0 {
		dev, offset = 0, 0
	}
	left := throughIF(d.filter, offset, dev, s.toneHz, r.Discriminator)
	m.slope, m.residual = left.slope, s.residualHz*(1-math.Exp(-rho))
	rho /= left.inverse
	m.rates = newClickTable(dev+subDev+math.Abs(offset), d.rms, rho)
	// Of what goes in, the clicks take back e^-rho before the click filter.
	feed := func(peak, f float64) float64 {
		c := math.Sqrt(d.clickPower(f, rho))
		return peak * ((1-math.Exp(-rho))/c + math.Exp(-rho))
	}
	m.sub = left.slope * feed(subDev, s.subHz)
	if rho > 0 {
		m.tone = left.partials
		for i, p := range m.tone {
			m.tone[i].peak = feed(p.peak, float64(p.order)*s.toneHz)
		}
	}
	swing := cycle(offset, dev)
	const coarse = 100.0
	smooth := make([]float64, workRate/2/coarse+2)
	for i := range smooth {
		f := max(float64(i)*coarse, 1)
		smooth[i] = d.smooth(f, rho, &swing) / (f * f)
	}
	density := func(f float64) float64 { return f * f * lookup(smooth, f/coarse) }
	// A slope that swings with the tone mixes noise from around its harmonics
	// into the audio.
	mixed := func(f float64) float64 {
		sum := left.slopes[0] * density(f)
		for n, p := range left.slopes[1:] {
			shift := float64(n+1) * s.toneHz
			sum += p * (density(math.Abs(f-shift)) + density(f+shift))
		}
		return sum
	}
	noise, signal := make([]complex128, blockLen), make([]complex128, blockLen)
	for k := range noise {
		f := math.Abs(binHz(k))
		// Unit white noise at workRate has density 2/workRate one-sided.
		noise[k] = audio[k] * complex(math.Sqrt(mixed(f)*workRate/2), 0)
		signal[k] = audio[k] * complex(math.Sqrt(max(0, d.clickPower(f, rho))), 0)
	}
	m.noise, m.signal = limitTaps(noise, ahead), limitTaps(signal, ahead)
	return m
}

// audioSource hands out unit white noise, and tone plus clicks in Hz.
type audioSource struct {
	set       FM
	line      timeline
	audio     []complex128
	mixes     map[*stretch]*mix
	noise     *rand.Rand
	clicks    *rand.Rand
	residual  *rand.Rand
	at        int64
	tone, sub float64
}

func newAudioSource(r FM, line timeline, seed uint64, at int64) *audioSource {
	phases := random(seed, streamPhases)
	return &audioSource{
		set: r, line: line, audio: r.audioBins(), mixes: map[*stretch]*mix{},
		noise: random(seed, streamIF), clicks: random(seed, streamClicks), residual: random(seed, streamResidual), at: at,
		tone: 2 * math.Pi * phases.Float64(), sub: 2 * math.Pi * phases.Float64(),
	}
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
		a.fillStretch(signal[from-start:to-start], s, from)
	})
	a.at += int64(len(noise))
}

func (a *audioSource) fillStretch(dst []float64, s *stretch, at int64) {
	m := a.mix(s)
	clear(dst)
	toneCycles, subCycles := s.toneHz/workRate, s.subHz/workRate
	for _, p := range m.tone {
		n := float64(p.order)
		addTone(dst, p.peak, n*toneCycles, n*a.tone+p.phase)
	}
	if m.sub > 0 {
		addTone(dst, m.sub, subCycles, a.sub)
	}
	if s.wave != nil {
		d, rest := a.set.Discriminator, a.set.Discriminator.at(s.offsetHz)
		for i, f := range s.modulation(at, len(dst)) {
			dst[i] += d.at(s.offsetHz+f) - rest
		}
	}
	a.addClicks(dst, s, m)
	if m.residual > 0 {
		for i := range dst {
			dst[i] += m.residual * m.slope * a.residual.NormFloat64()
		}
	}
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
		size := workRate * m.slope // one cycle within one sample
		if (a.clicks.Float64() < with) != (fd >= 0) {
			size = -size
		}
		dst[int(t)] += size
	}
}
