package track

import (
	"math"
	"math/cmplx"
)

const (
	jumpHops   = 10  // hops looked at on each side of a jump
	jumpLeast  = 0.5 // rad: smaller jumps are not looked for
	jumpSigmas = 8
	coherent   = 0.7 // share of the amplitude that hops of one phase keep when summed
)

// Jumps returns the hops within which the phase of the tone jumps for good: each
// side is extrapolated to the hop by its own line through the phases, so neither
// a frequency that is a little off nor one that drifts counts.
//
// d lost or repeated samples turn the phase by 2 pi f d / rate. Whole cycles
// leave it as it was and cannot be seen.
func Jumps(z []complex128) []int {
	n := len(z)
	z = level(z)
	turn := make([]float64, n) // how much the phase turns over two hops
	var steps []float64
	for i := 1; i+1 < n; i++ {
		turn[i] = math.Abs(cmplx.Phase(z[i+1] * cmplx.Conj(z[i-1])))
		steps = append(steps, cmplx.Phase(z[i+1]*cmplx.Conj(z[i])))
	}
	sigma := Spread(steps) / math.Sqrt2
	var out []int
	best := 0.0
	for k := minSide; k+minSide < n; k++ {
		if turn[k] < jumpLeast/2 {
			continue
		}
		d, ok := jumpAt(z, k, sigma)
		switch {
		case !ok:
		case len(out) > 0 && k-out[len(out)-1] <= 3:
			if d > best {
				out[len(out)-1], best = k, d
			}
		default:
			out, best = append(out, k), d
		}
	}
	return out
}

// level turns the hops by the frequency that most of them agree on.
func level(z []complex128) []complex128 {
	var steps []float64
	for i := 1; i < len(z); i++ {
		steps = append(steps, cmplx.Phase(z[i]*cmplx.Conj(z[i-1])))
	}
	w := Median(steps)
	out := make([]complex128, len(z))
	for i, v := range z {
		out[i] = v * cmplx.Rect(1, -math.Mod(w*float64(i), 2*math.Pi))
	}
	return out
}

func jumpAt(z []complex128, k int, sigma float64) (float64, bool) {
	l, r := min(jumpHops, k), min(jumpHops, len(z)-k-1)
	before, ok1 := phaseAt(z[k-l:k], float64(l))
	after, ok2 := phaseAt(z[k+1:k+1+r], -1)
	if !ok1 || !ok2 {
		return 0, false
	}
	d := math.Abs(cmplx.Phase(cmplx.Rect(1, after-before)))
	// The end of a fitted line of l points scatters by 2 sigma / sqrt(l).
	limit := jumpSigmas * sigma * math.Sqrt(4/float64(l)+4/float64(r))
	return d, d > math.Max(jumpLeast, limit)
}

// phaseAt extrapolates the phase of the hops to place at, counted from the first.
func phaseAt(z []complex128, at float64) (float64, bool) {
	var sum complex128
	size := 0.0
	for _, v := range z {
		sum += v
		size += cmplx.Abs(v)
	}
	if size == 0 || cmplx.Abs(sum) < coherent*size {
		return 0, false
	}
	mid := float64(len(z)-1) / 2
	var num, den, mean float64
	for i, v := range z {
		p := cmplx.Phase(v * cmplx.Conj(sum))
		num += p * (float64(i) - mid)
		den += (float64(i) - mid) * (float64(i) - mid)
		mean += p / float64(len(z))
	}
	return cmplx.Phase(sum) + mean + num/den*(at-mid), true
}
