package reading

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/chunk"
	"hisspoint/analyze/internal/scatter"
)

// clickBounds is by how much the mean square that clicks add may differ from
// what they added in this recording: less by down, more by up, at 95 %.
//
// n clicks of equal energy e leave the mean rate between the 2.5 % point of a gamma
// distribution of order n + 1/4 and the 97.5 % point of one of order n + 1/2, which is
// that of Jeffreys' interval for a Poisson mean. The lower one stands midway between
// Jeffreys' and Garwood's (order n, Biometrika 28, 437, 1936): with the former a single
// click rules out that it was a rare one, and misses a mean of 0.1 in 9.5 % of
// recordings; with the latter the interval is longer than it need be. Unequal clicks count as
// (sum e)^2 / sum e^2 equal ones. Where none was seen, e and a bound on the rate come from unseen.
func (e *estimator) clickBounds() (down, up float64, few bool) {
	var sum, squares float64
	for _, x := range e.t.Clicks {
		sum += x
		squares += x * x
	}
	if sum == 0 {
		up = e.unseen()
		return 0, up, up > 0
	}
	n := sum * sum / squares
	if n > chunk.ManyClicks || float64(len(e.t.Clicks)) > chunk.Crowded*e.t.Seconds {
		return 0, 0, false
	}
	each := squares / sum
	low := mathext.GammaIncRegInv(n+0.25, 0.025)
	high := mathext.GammaIncRegInv(n+0.5, 0.975)
	return math.Max(0, n-low) * each / e.t.Seconds, (high - n) * each / e.t.Seconds, true
}

// unseen bounds the mean square of clicks of which the recording happens to hold
// none. A click is an impulse of one cycle, so against a tone of amplitude A at
// deviation d it carries 2 (f2-f1) (A/d)^2 through a flat band from f1 to f2 (3039
// in place of 3100 Hz after 1/f de-emphasis). Their rate follows Rice from the
// carrier-to-noise ratio that the quiet part of the noise implies,
// rho = S/N 2 f0^2 (f2-f1) / (d^2 B). The deviation not being known, the worst
// of the usual ones is taken, in the widest usual IF filter.
func (e *estimator) unseen() float64 {
	if !e.fm || !e.tone || e.t.Noise <= 0 || e.weight == 0 {
		return 0
	}
	const band = 3100.0
	snr := e.t.TonePower / e.t.Noise
	worst := 0.0
	deviations := []float64{1200, 1500, 2400, 3000}
	if e.deviation > 0 {
		deviations = []float64{e.deviation}
	}
	for _, d := range deviations {
		b := math.Min(15000, math.Max(7500, 7*d))
		rho := chunk.Unsure * snr * 2 * 1e6 * band / (d * d * b)
		rate := b/(2*math.Sqrt(3))*math.Erfc(math.Sqrt(rho)) + 2/math.Pi*d*math.Exp(-rho)
		few := mathext.GammaIncRegInv(0.5, 0.975) / e.t.Seconds
		worst = math.Max(worst, math.Min(rate, few)*4*e.t.TonePower*band/(d*d))
	}
	return worst
}

// withClicks gives a reading of the noise its interval: the quiet noise by its
// blocks, the clicks by their number. f computes the reading from the tone's mean
// square and that of what is left, both filtered, and rises or falls with the latter.
func (e *estimator) withClicks(name, unit string, value float64, f func(s, nd float64) float64) analyze.Reading {
	r := e.noiseAndClicks(name, unit, value, f)
	if name != analyze.SINAD || !r.HasInterval() || e.nd <= 0 {
		return r
	}
	// SINAD counts harmonics and hum, whose own scatter the blocks do not hold.
	s := e.weight * e.t.TonePower
	h := scatter.Normal95 * 10 / math.Ln10 * math.Sqrt(e.t.LinesVar) / e.nd * s / (s + e.nd)
	return analyze.NewReading(name, unit, value, value-math.Hypot(value-r.Low, h), value+math.Hypot(r.High-value, h))
}

func (e *estimator) noiseAndClicks(name, unit string, value float64, f func(s, nd float64) float64) analyze.Reading {
	if name != analyze.SINAD && e.t.Seconds < noiseSeconds {
		return analyze.Exact(name, unit, value, tooShort(e.t.Seconds))
	}
	of := func(b chunk.Block, nd float64) float64 { return f(e.weight*b.Amplitude*b.Amplitude/2, nd) }
	down, up, few := e.clickBounds()
	if !few {
		return e.spread(name, unit, value, func(b chunk.Block) float64 { return of(b, b.Nd) })
	}
	clicks := 0.0
	for _, x := range e.t.Clicks {
		clicks += x / e.t.Seconds
	}
	r := e.spread(name, unit, value, func(b chunk.Block) float64 { return of(b, b.Nd-b.Clicks+clicks) })
	if !r.HasInterval() {
		return r
	}
	s := e.weight * e.t.TonePower
	more, less := f(s, e.nd+up)-value, f(s, math.Max(e.nd-down, e.nd*1e-3))-value
	if !analyze.Finite(less) { // less than the harmonics and hum within it
		less = 0
	}
	low := value - math.Hypot(r.Value-r.Low, math.Max(0, -math.Min(more, less)))
	high := value + math.Hypot(r.High-r.Value, math.Max(0, math.Max(more, less)))
	return analyze.NewReading(name, unit, value, low, high)
}
