package simulate

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"
)

// ClickRate is Rice's rate of clicks per second of a limiter-discriminator
// whose carrier stands fd Hz from the middle of the IF:
//
//	N = sqrt(r^2 + fd^2) erfc(sqrt(rho (1 + fd^2/r^2))) + |fd| e^-rho erf(|fd|/r sqrt rho)
//
// with r the RMS frequency of the IF noise about its middle (B/(2 sqrt 3) for
// a rectangle of width B) and rho the carrier-to-noise power ratio. On tune it
// is r erfc(sqrt rho). Source: S. O. Rice, "Noise in FM receivers", in
// Rosenblatt (ed.), Time Series Analysis, 1963.
func ClickRate(fd, r, rho float64) float64 {
	fd = math.Abs(fd)
	a := fd / r
	return math.Hypot(r, fd)*math.Erfc(math.Sqrt(rho*(1+a*a))) + fd*math.Exp(-rho)*math.Erf(a*math.Sqrt(rho))
}

// clickExcess is how many more clicks a second go against a deviation fd
// than with it: fd e^-rho (Rice 1963). It is what makes a tone weaker by the
// factor 1 - e^-rho.
func clickExcess(fd, rho float64) float64 { return fd * math.Exp(-rho) }

// ModulatedClickRate is ClickRate averaged over one cycle of a sine of peak
// deviation dev around an offset; a quasi-static average, as Rice makes it.
func ModulatedClickRate(offset, dev, r, rho float64) float64 {
	sum := 0.0
	for _, fd := range cycle(offset, dev) {
		sum += ClickRate(fd, r, rho)
	}
	return sum / cycleSteps
}

const cycleSteps = 64

// cycle is the instantaneous frequency at equal steps of one tone cycle.
func cycle(offset, dev float64) (fd [cycleSteps]float64) {
	for i := range fd {
		fd[i] = offset + dev*math.Cos(2*math.Pi*(float64(i)+0.5)/cycleSteps)
	}
	return fd
}

// erlangTail is 1 - e^-rho (1 + rho + ... + rho^(k-1)/(k-1)!), the regularised
// incomplete gamma function P(k, rho) for whole k.
func erlangTail(k int, rho float64) float64 {
	if rho < 1e-3 { // leading term, where the difference would lose its digits
		t := 1.0
		for i := 1; i <= k; i++ {
			t *= rho / float64(i)
		}
		return t * (1 - rho*float64(k)/float64(k+1))
	}
	sum, term := 0.0, 1.0
	for i := range k {
		if i > 0 {
			term *= rho / float64(i)
		}
		sum += term
	}
	return 1 - math.Exp(-rho)*sum
}

// discNoise holds what the discriminator's noise needs to know of an IF
// filter: its noise spectrum convolved with itself, its RMS width, and the
// spectrum with no carrier.
type discNoise struct {
	rms    float64
	filter []complex128           // the IF filter over the bins of a block
	orders [phaseOrders][]float64 // two-sided, unit area, at multiples of orderStep from 0
	bare   []float64              // no carrier: one-sided density over 2 r, at multiples of bareStep
}

const (
	phaseOrders = 4
	orderStep   = 20.0
	orderLen    = 8192
	bareStep    = 250.0
	bareCount   = 49 // to 12 kHz
)

type ifKey struct {
	bandwidth float64
	poles     int
}

var discNoises sync.Map // ifKey -> *discNoise; a memory of a pure function

func (r FM) discNoise() *discNoise {
	key := ifKey{r.IFBandwidthHz, r.IFPoles}
	if d, ok := discNoises.Load(key); ok {
		return d.(*discNoise)
	}
	d, _ := discNoises.LoadOrStore(key, r.newDiscNoise())
	return d.(*discNoise)
}

func (r FM) newDiscNoise() *discNoise {
	d := new(discNoise)
	fft := fourier.NewCmplxFFT(orderLen)
	s := make([]complex128, orderLen)
	area, second := 0.0, 0.0
	for k := range s {
		f := float64(k) * orderStep
		if k > orderLen/2 {
			f -= orderLen * orderStep
		}
		p := 0.0
		if math.Abs(f) < workRate/2 { // what the carrier-level model holds too
			p = r.ifPower(f)
		}
		area += p * orderStep
		second += p * f * f * orderStep
		s[k] = complex(p, 0)
	}
	d.rms = math.Sqrt(second / area)
	g := fft.Coefficients(nil, s)
	for i := range g {
		g[i] *= complex(orderStep/area, 0)
	}
	power := append([]complex128(nil), g...)
	for k := range d.orders {
		if k > 0 {
			for i := range power {
				power[i] *= g[i]
			}
		}
		density := fft.Sequence(nil, power)
		d.orders[k] = make([]float64, orderLen/2)
		for i := range d.orders[k] {
			d.orders[k][i] = real(density[i]) / (orderLen * orderStep)
		}
	}
	d.filter = r.ifResponse()
	d.bare = r.bareSpectrum(d.rms)
	return d
}

// at is the density of order k (counted from 1) at f.
func (d *discNoise) at(k int, f float64) float64 { return lookup(d.orders[k-1], math.Abs(f)/orderStep) }

func lookup(table []float64, x float64) float64 {
	i := int(x)
	if i+1 >= len(table) {
		return 0
	}
	x -= float64(i)
	return table[i]*(1-x) + table[i+1]*x
}

// smooth is the one-sided density (Hz^2/Hz) at audio frequency f of the part
// of the frequency noise that is not clicks. With n the IF noise relative to
// the carrier, the phase is the imaginary part of log(1+n) = n - n^2/2 + ...,
// whose terms are uncorrelated for circular Gaussian n:
//
//	W(f) = f^2 sum_k (k!/k^2) P(k,rho)^2 / rho^k s_k(f)
//
// s_k is the IF noise spectrum convolved with itself k times, swept along by
// the modulation. The first term is the well-known f^2 (1-e^-rho)^2 N0/C; the
// others are 8 % of it at 8 dB.
func (d *discNoise) smooth(f, rho float64, swing *[cycleSteps]float64) float64 {
	if rho <= 0 {
		return 0
	}
	sum, weight := 0.0, 1.0
	for k := 1; k <= phaseOrders; k++ {
		n := float64(k)
		weight *= n / rho
		p := erlangTail(k, rho)
		density := 0.0
		for _, fi := range swing {
			density += d.at(k, f-n*fi) + d.at(k, f+n*fi)
		}
		sum += weight / (n * n) * p * p * density / (2 * cycleSteps)
	}
	return f * f * sum
}

// clickPower is the power spectrum of one click over that of an impulse.
// High above threshold clicks are rare and their spectrum is flat over the
// audio. With no carrier they crowd, take turns in sign and have width; then
// the exact spectrum is known (bareSpectrum). Between the two the departure
// dies away as e^(-0.75 rho), a fit to the exact spectrum of an unmodulated
// carrier that is good to 3 % of the noise from 0 dB up.
func (d *discNoise) clickPower(f, rho float64) float64 {
	return 1 - (1-lookup(d.bare, f/bareStep))*math.Exp(-0.75*rho)
}

// bareSpectrum is the spectrum of the instantaneous frequency of Gaussian
// noise alone, over 2 r where r is the rate of its clicks. With g the
// autocorrelation of the IF noise (1 at 0, real as the filter is symmetric)
//
//	R(t) = (g''/g - (g'/g)^2) ln(1 - g^2) / (8 pi^2)   Hz^2
//
// (S. O. Rice, "Statistical properties of a sine wave plus random noise",
// Bell System Technical Journal 27, 1948).
func (r FM) bareSpectrum(rms float64) []float64 {
	const step, steps, lines = 4e-6, 2500, 400
	top := min(workRate/2, 4*r.IFBandwidthHz)
	if r.IFPoles <= 0 {
		top = r.IFBandwidthHz / 2
	}
	df := top / lines
	out := make([]float64, bareCount)
	for i := range steps {
		t := (float64(i) + 0.5) * step
		var area, g, g1, g2 float64
		for j := range lines {
			f := (float64(j) + 0.5) * df
			p := r.ifPower(f)
			w := 2 * math.Pi * f
			sin, cos := math.Sincos(w * t)
			area += p
			g += p * cos
			g1 -= p * w * sin
			g2 -= p * w * w * cos
		}
		g, g1, g2 = g/area, g1/area, g2/area
		// ln(1-g^2)/g^2 tends to -1 where g passes through 0.
		l := -1 - g*g/2
		if math.Abs(g) > 1e-4 {
			l = math.Log1p(-g*g) / (g * g)
		}
		corr := (g2*g - g1*g1) * l / (8 * math.Pi * math.Pi)
		for k := range out {
			out[k] += 4 * step * corr * math.Cos(2*math.Pi*float64(k)*bareStep*t) / (2 * rms)
		}
	}
	return out
}
