package mains

import "math"

const (
	floorHz   = 24  // how far to each side of an order its noise is read
	floorLow  = 12  // Hz, below which nothing is read: offsets and sound cards
	floorGap  = 1.6 // in 1/T, how close to a line nothing is read
	gapHz     = 0.5 // and in Hz
	outlier   = 11  // floors: one bin of noise in 60,000 has more
	ridge     = 0.25
	floorIter = 6
)

// noise is the floor at a frequency and on how many independent bins it rests: the
// spectral likelihood (Whittle 1953) of ln S = a + b ln(f/hz). Each step solves the
// least squares of z = eta + I/mu - 1 (a gamma variable with logarithmic link); the
// slope b is held by a ridge, as though known to be 0 +- 2. A plain mean would be
// half too high at 50 Hz behind a 250 Hz high-pass.
func (v *view) noise(hz float64, skip []float64) (floor, bins float64) {
	gap := math.Max(floorGap/v.seconds, gapHz)
	near := []float64{hz}
	for _, s := range skip {
		if math.Abs(s-hz) < floorHz+gap {
			near = append(near, s)
		}
	}
	u, p := v.around(hz, gap, near)
	if len(u) < 8 {
		u, p = v.around(hz, gap, near[:1])
	}
	if len(u) < 4 {
		return v.floorAt(hz), 4
	}
	a, b := math.Log(math.Max(least, v.floorAt(hz))), 0.0
	for pass := range floorIter {
		var n, su, suu, sz, suz float64
		for i, x := range u {
			eta := a + b*x
			ratio := p[i] * math.Exp(-eta)
			if pass >= floorIter/2 && ratio > outlier {
				continue
			}
			z := eta + math.Min(ratio, outlier) - 1
			n++
			su += x
			suu += x * x
			sz += z
			suz += x * z
		}
		if n == 0 {
			break
		}
		suu += ridge
		det := n*suu - su*su
		a, b = (suu*sz-su*suz)/det, (n*suz-su*sz)/det
		bins = det / suu
	}
	return math.Max(least, math.Exp(a)), bins * float64(v.s.N) / float64(v.s.M)
}

// around are the bins near a frequency, none closer than gap to a line: ln(f/hz) and the power.
func (v *view) around(hz, gap float64, lines []float64) (u, p []float64) {
	lo, hi := int(math.Ceil(v.bin(math.Max(floorLow, hz-floorHz)))), int(v.bin(hz+floorHz))
	for k := max(1, lo); k <= min(hi, len(v.s.R)-1); k++ {
		f, clear := v.hz(float64(k)), true
		for _, l := range lines {
			clear = clear && math.Abs(f-l) > gap
		}
		if clear {
			u = append(u, math.Log(f/hz))
			p = append(p, v.power(k))
		}
	}
	return u, p
}
