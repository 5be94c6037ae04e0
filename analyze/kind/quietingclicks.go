package kind

import (
	"math"

	"hisspoint/analyze"
)

// seldom is the mean number of clicks beyond which a recording without any is too
// unlikely to be this one: e^-3.7 is 2.5 %.
const seldom = 3.7

// lessUnseen lets a quieting down by what clicks of which the recording happens
// to hold none may add to its noise: its blocks cannot show them.
func lessUnseen(q analyze.Reading, k analyze.Kept) analyze.Reading {
	if !q.HasInterval() || k.Clicks > 0 || k.Seconds <= 0 {
		return q
	}
	q.Low = q.Value - math.Hypot(q.Value-q.Low, 10*math.Log10(1+unseenShare(math.Pow(10, -q.Value/10), k.Seconds)))
	return q
}

// unseenShare is that noise as a share of the noise that was measured. By Rice
// (Noise in FM receivers, 1963), for an unmodulated carrier in an IF filter of the
// noise bandwidth B, clicks come at the rate B/(2 sqrt 3) erfc(sqrt rho), and the
// hiss without a carrier is, at audio frequencies, that of clicks at rho = 0. So
// against the hiss the noise is
//
//	sqrt 3 F/(B^2 rho) + erfc(sqrt rho)
//
// with F the mean of f^2 over the audio response's power: its first part smooth,
// its second the clicks'. What was measured gives rho for each usual B and F;
// those that make clicks frequent are ruled out by there being none.
func unseenShare(noise, seconds float64) float64 {
	worst := 0.0
	for _, b := range []float64{7500, 10000, 12500, 15000} {
		for _, f := range []float64{1e6, 2e6, 4e6} { // de-emphasis; with less bass; flat audio
			rho := rhoOf(noise, math.Sqrt(3)*f/(b*b))
			share := math.Erfc(math.Sqrt(rho))
			if n := seconds * b / (2 * math.Sqrt(3)) * share; n <= seldom {
				worst = math.Max(worst, share/noise)
			}
		}
	}
	return worst
}

// rhoOf solves smooth/rho + erfc(sqrt rho) = noise, which falls with rho.
func rhoOf(noise, smooth float64) float64 {
	low, high := 1e-6, 1e9
	for range 100 {
		mid := math.Sqrt(low * high)
		if smooth/mid+math.Erfc(math.Sqrt(mid)) > noise {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}
