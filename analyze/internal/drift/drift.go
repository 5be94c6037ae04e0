// Package drift follows a tone whose frequency moves, finds where its phase jumps
// because a card lost or doubled samples, and puts a steady tone in its place.
//
// Three steps, each on one stretch x of a recording of T seconds:
//
//   - acquire (path.go): a Viterbi search (Barlow, Streit & Barrett 1990) for the
//     line of most power through short spectra, which may move by 8 Hz/s;
//   - follow (hops.go, fit.go): the tone turned back by that path is averaged in
//     hops of 10 ms; the phase of the hops is a polynomial, by maximum likelihood
//     (Tretter 1985, Kay 1989, Peleg & Porat 1991), its order by an F ratio;
//   - steps of phase (steps.go): exact division of the phase into constants
//     (Bellman 1961, Jackson et al. 2005) in turn with the polynomial.
//
// What a polynomial of order 0.6 T + 3 can follow is drift, roughly what is slower than
// 0.3 Hz. Flutter, residual FM and phase noise above that stay in the sound.
package drift

import "math"

// A stretch shorter than MinSeconds holds too few spectra to find a tone in; one longer
// than MaxSeconds would need a higher order than fits well.
const (
	MinSeconds = 1
	MaxSeconds = 15
)

// Sound is a stretch of a recording with the part of its transform in which a tone is
// looked for.
type Sound struct {
	X      []float64 // samples; full scale is +-1
	Offset float64   // mean of X
	Rate   float64   // Hz
	Band   []complex128
	First  int     // bin of Band[0] in the transform X_k = sum x_t exp(-2 pi i k t / M)
	M      int     // length of that transform
	Lo, Hi float64 // Hz between which the tone stands; Band reaches Margin further
}

// Margin is how far, in Hz, the band reaches beyond the place of the tone.
const Margin = 100

// Slip is a place where samples are missing (Samples > 0) or doubled (< 0).
type Slip struct {
	At      int     // first sample after it
	Turn    float64 // by how much the phase jumps, rad, within +-pi
	Samples float64 // the same in samples; whole cycles more or less cannot be seen
	Sigma   float64 // its standard uncertainty
	Sure    bool    // it is one; false: a jump beside others that may be two
}

// Course is the phase of a tone over n samples:
//
//	p(t) = sum c_k P_k(2 t / n - 1) + the turns of all slips before t
//
// with Legendre's polynomials P_k, in rad.
type Course struct {
	Coef  []float64
	Slips []Slip
	N     int
	Rate  float64
}

// Acquired tells whether a tone that may move runs through the whole sound. Noise alone
// reaches 5.6 of the 14 that it takes (14,000 stretches of 1 to 5 s).
func Acquired(s Sound) bool {
	p := acquire(s)
	return p != nil && p.score >= foundScore
}

// Follow returns the course of the tone in the sound, or false where there is none that
// runs from end to end at a steady level.
func Follow(s Sound) (Course, bool) {
	p := acquire(s)
	if p == nil || p.score < foundScore {
		return Course{}, false
	}
	h, ok := envelope(s, p)
	if !ok || !h.levelSteady() {
		return Course{}, false
	}
	f := fitter{hops: h, most: mostOrder(h.seconds)}
	f.basis = basisOf(h.u, f.most)
	found := f.search()
	best := f.choose(found.steps)
	var sure []int
	if len(found.steps) > 0 {
		best = f.significant(best)
		if sure = f.claims(best, found); len(sure) == 0 {
			best = f.choose(nil) // steps left in would swallow the set's own phase noise
		}
	}
	c := Course{Coef: best.coef[:best.order+1], N: len(s.X), Rate: s.Rate}
	c.place(s, h, best, sure)
	return c, true
}

// mostOrder is the highest order of the polynomial over so many seconds.
func mostOrder(seconds float64) int {
	return max(4, min(12, int(math.Round(0.6*seconds))+3))
}

// Moves tells whether the course is any other than a steady tone's.
func (c Course) Moves() bool { return len(c.Coef) > 2 || len(c.Slips) > 0 }

// hz is the mean frequency.
func (c Course) hz() float64 {
	turn := 0.0
	for k := 1; k < len(c.Coef); k += 2 {
		turn += 2 * c.Coef[k]
	}
	return turn / (2 * math.Pi) * c.Rate / float64(c.N)
}

// Slope is that of the straight line through the frequency, Hz/s: 6 / (pi T^2) times the
// sum of the even coefficients from the second on.
func (c Course) Slope() float64 {
	sum := 0.0
	for k := 2; k < len(c.Coef); k += 2 {
		sum += c.Coef[k]
	}
	seconds := float64(c.N) / c.Rate
	return 6 / (math.Pi * seconds * seconds) * sum
}

// Range is the lowest and the highest frequency, Hz.
func (c Course) Range() (low, high float64) {
	const steps = 200
	low, high = math.Inf(1), math.Inf(-1)
	for i := range steps + 1 {
		f := slopeAt(c.Coef, 2*float64(i)/steps-1) / math.Pi * c.Rate / float64(c.N)
		low, high = math.Min(low, f), math.Max(high, f)
	}
	return low, high
}

// at is the value of a Legendre series at u, by Clenshaw's recurrence.
func at(coef []float64, u float64) float64 {
	var a, b float64
	for k := len(coef) - 1; k >= 0; k-- {
		n := float64(k)
		a, b = coef[k]+(2*n+1)/(n+1)*u*a-(n+1)/(n+2)*b, a
	}
	return a
}

// slopeAt is the derivative of a Legendre series: P'_{k+1} = P'_{k-1} + (2k+1) P_k.
func slopeAt(coef []float64, u float64) float64 {
	sum := 0.0
	p0, p1, d0, d1 := 1.0, u, 0.0, 1.0
	for k := 1; k < len(coef); k++ {
		sum += coef[k] * d1
		n := float64(k)
		p0, p1, d0, d1 = p1, ((2*n+1)*u*p1-n*p0)/(n+1), d1, d0+(2*n+1)*p1
	}
	return sum
}

func wrap(a float64) float64 { return math.Remainder(a, 2*math.Pi) }
