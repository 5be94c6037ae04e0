package chunk

import (
	"math"
	"math/cmplx"

	"hisspoint/capture/dft"
)

// bandPower reads what is left after the tone through the filter: in all (noise
// and distortion) and without harmonics and hum (noise), and block by block.
//
// The mean square of the filtered signal over all samples is, by Parseval,
// 2/(n m) sum w_k |R_k|^2 on the one-sided grid of m points. Lines within the
// filter count with their fitted power, in all and alike in every block: their
// beat with the noise is no scatter of the noise.
func (c *chunkWork) bandPower() {
	s, out := c.s, c.out
	bins := c.p.Curve.OnBins(c.p.Rate/float64(s.M), len(s.R)-2)
	scale := 2 / (float64(s.N) * float64(s.M))
	sum := 0.0
	for i, w := range bins.W {
		sum += w * c.binPower(bins.First+i)
	}
	whole := sum * scale
	out.Noise = whole + out.underHum
	c.band = c.band[:0]
	last := bins.First + len(bins.W) - 1
	if len(bins.W) > 0 {
		c.band = append(c.band, s.R[bins.First:last+1]...)
	}
	lines := 0.0
	for _, l := range c.inner {
		w := c.p.Curve.Line(c.hz(l.V))
		power := l.Power()
		lines += w * power
		// Against noise of the density N0 around it, a fitted line's power scatters by 2 P N0 / T.
		l.C = 0 // it is out of the spectrum
		out.LinesVar += 2 * w * w * power * c.around(l).floor
	}
	lines += c.beyondEdge(bins.First, last)
	whole += lines
	out.Loose = c.loose()
	out.Nd = whole
	c.noiseBeside(bins.First, bins.W)
	c.makeBlocks(bins.First, bins.W, lines)
}

// makeBlocks filters in the frequency domain and sums the squares of the
// result block by block, at a rate just high enough for the band.
func (c *chunkWork) makeBlocks(first int, w []float64, lines float64) {
	s, out := c.s, c.out
	nb := c.p.Blocks
	out.Blocks = make([]Block, nb)
	for b := range out.Blocks {
		lo, hi := b*s.N/nb, (b+1)*s.N/nb
		out.Blocks[b].start = lo
		out.Blocks[b].Seconds = float64(hi-lo) / c.p.Rate
		out.Blocks[b].Nd = lines
	}
	if len(w) == 0 {
		return
	}
	m2 := dft.Smooth(2 * (first + len(w)))
	coef := make([]complex128, m2/2+1)
	ratio := float64(m2) / float64(s.M)
	for i, v := range c.band {
		coef[first+i] = v * complex(math.Sqrt(w[i])*ratio, 0)
	}
	c.slow = dft.Inverse(c.slow, coef, m2)
	n2 := float64(s.N) * ratio
	if less := c.mend(c.slow[:min(len(c.slow), int(n2))], ratio); less != 0 {
		out.Nd -= less
		out.Noise -= less
	}
	total := 0.0
	for t, y := range c.slow {
		b := min(nb-1, int(float64(t)/n2*float64(nb)))
		out.Blocks[b].Nd += y * y / (n2 / float64(nb))
		total += y * y
	}
	c.findClicks(c.slow[:min(len(c.slow), int(n2))], c.p.Rate*ratio)
	c.blockAmplitudes()
}

// envelopeHz is the width to each side of the tone within which its amplitude is followed.
const envelopeHz = 200

// blockAmplitudes gives each block the mean amplitude of the tone within it: the
// fitted amplitude and the part of what is left that stands in phase with it.
func (c *chunkWork) blockAmplitudes() {
	out, s := c.out, c.s
	if !out.Found {
		return
	}
	c.env, c.step = c.envelope()
	a := out.Tone.Amplitude()
	nb := len(out.Blocks)
	sum, count := make([]float64, nb), make([]int, nb)
	for t, e := range c.env {
		at := float64(t) * c.step
		if at >= float64(s.N) {
			break
		}
		b := min(nb-1, int(at*float64(nb)/float64(s.N)))
		sum[b] += real(e)
		count[b]++
	}
	for b := range out.Blocks {
		out.Blocks[b].Amplitude = a
		if count[b] > 0 {
			out.Blocks[b].Amplitude += sum[b] / float64(count[b])
		}
	}
}

// envelope is what is left around the tone after it was taken out, turned to the
// tone's phase: the real part adds to its amplitude, the imaginary part turns it.
// step is the spacing of its values in samples.
func (c *chunkWork) envelope() (env []complex128, step float64) {
	s, tone := c.s, c.out.Tone
	half := int(math.Ceil(envelopeHz / c.p.Rate * float64(s.M)))
	centre := int(math.Round(tone.V * float64(s.M)))
	half = min(half, centre-1, len(s.R)-2-centre)
	if half < 1 {
		return nil, 1
	}
	m := dft.Smooth(2*half + 2)
	z := make([]complex128, m)
	for k := -half; k <= half; k++ {
		z[(k+m)%m] = s.R[centre+k]
	}
	env = dft.InverseComplex(z)
	step = float64(s.M) / float64(m)
	// 2/m R on m points is the analytic signal's amplitude; turned back by the
	// tone's own phase and by its distance from the bin.
	turn := cmplx.Conj(tone.C) / complex(cmplx.Abs(tone.C), 0)
	off := tone.V*float64(s.M) - float64(centre)
	scale := complex(2*float64(m)/float64(s.M), 0) * turn
	for t := range env {
		ph := -2 * math.Pi * off * float64(t) / float64(m)
		env[t] *= scale * cmplx.Exp(complex(0, ph))
	}
	return env, step
}

// timeDomain reads the whole signal's power and peak, in all and block by block.
func (c *chunkWork) timeDomain() {
	out := c.out
	nb := len(out.Blocks)
	offset := out.Offset
	sum := 0.0
	for b := range out.Blocks {
		lo := out.Blocks[b].start
		hi := c.s.N
		if b+1 < nb {
			hi = out.Blocks[b+1].start
		}
		part := 0.0
		for _, v := range c.x[lo:hi] {
			d := v - offset
			part += d * d
			if v < 0 {
				v = -v
			}
			if v > out.Peak {
				out.Peak = v
			}
		}
		sum += part
		out.Blocks[b].Total = part/float64(hi-lo) - c.partialCycle(lo, hi)
	}
	out.Total = sum / float64(c.s.N)
}

// partialCycle is by how much the tone's mean square over samples lo to hi
// differs from that over whole cycles: not scatter, so it is taken off a block.
func (c *chunkWork) partialCycle(lo, hi int) float64 {
	if !c.out.Found {
		return 0
	}
	t := c.out.Tone
	n := float64(hi - lo)
	th := 2 * t.V // cycles a sample of the double frequency
	d := math.Sin(math.Pi * th)
	if math.Abs(d) < 1e-12 {
		return 0
	}
	mag := math.Sin(math.Pi*th*n) / d / n
	phase := 2*cmplx.Phase(t.C) + 2*math.Pi*th*(float64(lo)+(n-1)/2)
	a := t.Amplitude()
	return a * a / 2 * mag * math.Cos(phase)
}
