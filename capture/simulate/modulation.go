package simulate

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// partial is one line of the discriminator's output for a noise-free,
// tone-modulated carrier: peak*cos(order*theta + phase) Hz, where the carrier
// was modulated with cos(theta).
type partial struct {
	order       int
	peak, phase float64
}

// modulation is what the IF filter leaves of the modulation.
type modulation struct {
	partials []partial
	inverse  float64   // mean of 1/|carrier|^2, the carrier having power 1 before the filter
	slope    float64   // RMS of the discriminator's slope over the cycle
	slopes   []float64 // the slope's Fourier series: power of each order, counted both ways
}

const (
	modulationSteps = 256
	maxPartial      = 9
)

// throughIF sends the side lines of a tone-modulated carrier through the IF
// filter one by one and reads the instantaneous frequency of what is left:
// Im(z'/z)/2pi. Its harmonics are the distortion by the filter; they grow as
// the deviation fills the filter. The discriminator's curve adds its own.
func throughIF(response []complex128, offset, dev, tone float64, curve Discriminator) modulation {
	fft := fourier.NewCmplxFFT(modulationSteps)
	z := make([]complex128, modulationSteps)
	index := 0.0
	if tone > 0 {
		index = dev / tone
	}
	for i := range z {
		sin, cos := math.Sincos(index * math.Sin(2*math.Pi*float64(i)/modulationSteps))
		z[i] = complex(cos/modulationSteps, sin/modulationSteps)
	}
	lines := fft.Coefficients(nil, z)
	slope := make([]complex128, modulationSteps)
	for k := range lines {
		order := k
		if k > modulationSteps/2 {
			order -= modulationSteps
		}
		f := offset + float64(order)*tone
		lines[k] *= complex(ifGain(response, f), 0)
		slope[k] = lines[k] * complex(f, 0)
	}
	z, slope = fft.Sequence(nil, lines), fft.Sequence(nil, slope)
	var m modulation
	wave := make([]float64, modulationSteps)
	for i := range wave {
		power := max(1e-6, real(z[i])*real(z[i])+imag(z[i])*imag(z[i]))
		wave[i] = (real(slope[i])*real(z[i]) + imag(slope[i])*imag(z[i])) / power
		m.inverse += 1 / power / modulationSteps
	}
	m.slope, m.slopes = 1, []float64{1}
	if curve.PeakHz > 0 {
		m.slope, m.slopes = slopeSeries(curve, wave)
	}
	for i, f := range wave {
		wave[i] = curve.at(f)
	}
	spec := fourier.NewFFT(modulationSteps).Coefficients(nil, wave)
	for k := range maxPartial + 1 {
		re, im := real(spec[k])/modulationSteps, imag(spec[k])/modulationSteps
		peak := math.Hypot(re, im)
		if k > 0 {
			peak *= 2
		}
		if peak > 1e-5*(dev+math.Abs(offset)) && float64(k)*tone < workRate/2 {
			m.partials = append(m.partials, partial{k, peak, math.Atan2(im, re)})
		}
	}
	return m
}

// slopeSeries is the RMS of the discriminator's slope over one cycle of
// instantaneous frequency, and the powers of its Fourier series: order 0, then
// each order once for +k and once for -k.
func slopeSeries(curve Discriminator, wave []float64) (rms float64, powers []float64) {
	slope := make([]float64, len(wave))
	for i, f := range wave {
		slope[i] = curve.slope(f)
		rms += slope[i] * slope[i] / float64(len(wave))
	}
	n := float64(len(wave))
	for k, c := range fourier.NewFFT(len(wave)).Coefficients(nil, slope) {
		if k > maxPartial {
			break
		}
		powers = append(powers, (real(c)*real(c)+imag(c)*imag(c))/n/n)
	}
	return math.Sqrt(rms), powers
}

// ifGain reads the IF filter's response, which is real, between its bins.
func ifGain(response []complex128, f float64) float64 {
	x := math.Abs(f) * blockLen / workRate
	i := int(x)
	if i+1 >= blockLen/2 {
		return 0
	}
	x -= float64(i)
	return real(response[i])*(1-x) + real(response[i+1])*x
}
