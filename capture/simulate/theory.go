package simulate

import "math"

// TheorySINAD is the SINAD in dB through f of an ideal set without
// distortion or hum, by formula instead of by simulation: Rice's tone,
// smooth noise and clicks. It starts from a level at the set.
func (r FM) TheorySINAD(g Generator, dBm float64, f Filter) float64 {
	tone, dev := first(g.ToneHz, 1000), g.DeviationHz
	rho := r.theoryRho(g, dBm)
	amplitude := dev * (1 - math.Exp(-rho))
	signal, noise := amplitude*amplitude/2*r.theoryGain(tone, f), r.TheoryNoise(g, dBm, f)
	return 10 * math.Log10((signal+noise)/noise)
}

// TheoryQuieting is by how many dB an unmodulated carrier of a level at the
// set lowers the open hiss heard through f, by the same formulas: smooth
// noise and clicks against the spectrum of the detector without a carrier.
func (r FM) TheoryQuieting(g Generator, dBm float64, f Filter) float64 {
	g.DeviationHz = 0
	return 10 * math.Log10(r.TheoryNoise(g, math.Inf(-1), f)/r.TheoryNoise(g, dBm, f))
}

// TheoryNoise is the noise at the speaker through f in V^2, of the same
// ideal set; a level of -Inf is the open hiss.
func (r FM) TheoryNoise(g Generator, dBm float64, f Filter) float64 {
	d, rho, dev := r.discNoise(), r.theoryRho(g, dBm), g.DeviationHz
	if rho == 0 {
		g.OffsetHz, dev = 0, 0
	}
	swing := cycle(g.OffsetHz, dev)
	clicks := 2 * ModulatedClickRate(g.OffsetHz, dev, d.rms, rho)
	noise := 0.0
	const step = 10
	for hz := step / 2.0; hz < workRate/2; hz += step {
		if w := r.theoryGain(hz, f); w > 0 {
			noise += w * step * (d.smooth(hz, rho, &swing) + clicks*d.clickPower(hz, rho))
		}
	}
	return noise
}

// theoryRho is the carrier-to-noise ratio with what the IF filter takes off
// the modulated carrier.
func (r FM) theoryRho(g Generator, dBm float64) float64 {
	rho := r.rho(dBm)
	if rho == 0 {
		return 0
	}
	return rho / throughIF(r.discNoise().filter, g.OffsetHz, g.DeviationHz, first(g.ToneHz, 1000), Discriminator{}).inverse
}

// theoryGain is the power gain from Hz of deviation to V^2 through f.
func (r FM) theoryGain(hz float64, f Filter) float64 {
	h := r.audioResponse(hz, r.audioGain())
	return (real(h)*real(h) + imag(h)*imag(h)) * f(hz) * f(hz)
}
