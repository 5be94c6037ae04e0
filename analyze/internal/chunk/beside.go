package chunk

import (
	"hisspoint/analyze/internal/beside"
	"hisspoint/capture/dft"
)

// liftedHz is how wide cells are smoothed that a suppressor may have emptied.
const liftedHz = 50

// noiseBeside reads the noise near the tone and around it, from the spectrum without
// lines under a Hann window (on bins: half of each less a quarter of its neighbours),
// and what the noise through the filter was at least if it was even.
func (c *chunkWork) noiseBeside(first int, w []float64) {
	s, out := c.s, c.out
	if !out.Found {
		return
	}
	scale := 2 / (float64(s.N) * c.p.Rate)
	low, high := c.firstBin(out.Tone.Hz-beside.Reach), min(len(s.R)-2, c.atBin(out.Tone.Hz+3*beside.Reach))
	c.cells = c.cells[:0]
	for k := 0; k <= high; k++ {
		p := 0.0
		if k >= low {
			p = hann(s.R, k) * scale
		}
		c.cells = append(c.cells, p)
	}
	step := c.p.Rate / float64(s.M)
	out.Beside = beside.Around(c.cells, step, out.Tone.Hz)
	out.Beside.Along, out.Beside.Across = c.nearTone()
	c.cells = c.cells[:0]
	for i := range w {
		c.cells = append(c.cells, c.binPower(first+i)*scale)
	}
	for i, p := range beside.Lifted(c.cells, int(liftedHz/step), out.Beside.Floor()) {
		out.Lifted += w[i] * p * step
	}
}

// nearTone are the densities close to the tone of the noise in phase with it and of that
// across it: those of the envelope's two parts, which have twice that of the sound.
func (c *chunkWork) nearTone() (along, across float64) {
	env, each := c.envelope()
	if len(env) == 0 {
		return 0, 0
	}
	m := len(env)
	rate := c.p.Rate / each
	used := float64(c.s.N) / each
	part := make([]float64, m)
	near := func(of func(complex128) float64) float64 {
		for t, e := range env {
			part[t] = of(e)
		}
		c.turned = dft.Forward(c.turned, part)
		p := make([]float64, len(c.turned)-1)
		for k := 1; k < len(p); k++ {
			p[k] = hann(c.turned, k) / (used * rate)
		}
		return beside.Near(p, rate/float64(m))
	}
	return near(func(e complex128) float64 { return real(e) }), near(func(e complex128) float64 { return imag(e) })
}

// hann is the power of bin k under a Hann window, as of white noise without one.
func hann(r []complex128, k int) float64 {
	v := r[k]/2 - (r[k-1]+r[k+1])/4
	return (real(v)*real(v) + imag(v)*imag(v)) / 0.375
}

// The stretch, as shares of the sample rate, in which a converter still passes noise and
// a coder passes none.
const (
	topFrom = 0.45
	topTo   = 0.48
	topBins = 1000 // that are looked at
)

// topDensity is that of the noise just under half the sample rate, mean square a hertz.
func topDensity(r []complex128, n, m int, rate float64) float64 {
	first, last := int(topFrom*float64(m)), min(len(r)-2, int(topTo*float64(m)))
	if first < 1 || last <= first {
		return 0
	}
	sum, count := 0.0, 0.0
	for k := first; k <= last; k += max(1, (last-first)/topBins) {
		sum += hann(r, k)
		count++
	}
	return 2 * sum / count / (float64(n) * rate)
}
