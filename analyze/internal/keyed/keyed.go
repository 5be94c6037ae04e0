// Package keyed finds when sound comes and goes in a recording: the edges of a
// squelch that opens and closes, and the moment at which a tone gives way to
// noise. It works on blocks of float64 and knows nothing of recordings.
package keyed

import "math"

// HopSeconds is the step of an Envelope.
const HopSeconds = 0.001

// Envelope collects the mean square of the first difference of a signal in
// steps of one hop. The difference weighs a frequency f with 2 sin(pi f/rate),
// so hum that stays when a set is muted counts 20 dB less than a tone of 1 kHz,
// and an edge stays where it is.
type Envelope struct {
	Hop   int // samples a step
	Power []float64
	last  float64
	sum   float64
	n     int
	began bool
}

// NewEnvelope makes an empty envelope for a rate in samples a second.
func NewEnvelope(rate int) *Envelope {
	return &Envelope{Hop: max(1, int(math.Round(HopSeconds*float64(rate))))}
}

// Add takes the next samples.
func (e *Envelope) Add(x []float64) {
	for _, v := range x {
		if !e.began {
			e.last, e.began = v, true
		}
		d := v - e.last
		e.last = v
		e.sum += d * d
		if e.n++; e.n == e.Hop {
			e.Power = append(e.Power, e.sum/float64(e.Hop))
			e.sum, e.n = 0, 0
		}
	}
}

// Span is a stretch of hops, first to before last.
type Span struct{ First, Last int }

const (
	smoothHops = 5  // of the power that is held against the threshold: a whole period of 200 Hz
	steadyHops = 30 // of the quietest stretch, which is the muted level
	rise       = 6.3
	contrast   = 10.0 // least ratio of the loudest stretch to the quietest for the sound to come and go at all
	joinHops   = 4    // gaps of less are not gaps
	leastHops  = 8    // stretches of less are clicks
)

// Open finds the stretches in which the sound stands 8 dB above its quietest 30
// ms. floor is the power of that quiet; ok is false where the sound nowhere
// differs by 10 dB, so that it never came or went.
func (e *Envelope) Open() (open []Span, floor float64, ok bool) {
	long := smooth(e.Power, steadyHops)
	if len(long) == 0 {
		return nil, 0, false
	}
	low, high := math.Inf(1), 0.0
	for _, p := range long {
		low, high = math.Min(low, p), math.Max(high, p)
	}
	// Digital silence is taken for what 24 bits could hold.
	low = math.Max(low, 1e-14)
	if high < contrast*low {
		return nil, low, false
	}
	for i, p := range smooth(e.Power, smoothHops) {
		if p < rise*low {
			continue
		}
		at := i + smoothHops/2
		if n := len(open); n > 0 && at-open[n-1].Last < joinHops {
			open[n-1].Last = at + 1
		} else {
			open = append(open, Span{at, at + 1})
		}
	}
	kept := open[:0]
	for _, s := range open {
		if s.Last-s.First >= leastHops {
			kept = append(kept, s)
		}
	}
	return kept, low, true
}

// smooth is the running mean of n values; it has n-1 values less.
func smooth(x []float64, n int) []float64 {
	if len(x) < n {
		return nil
	}
	out := make([]float64, len(x)-n+1)
	sum := 0.0
	for i, v := range x {
		sum += v
		if i >= n {
			sum -= x[i-n]
		}
		if i >= n-1 {
			out[i-n+1] = math.Max(0, sum/float64(n))
		}
	}
	return out
}

// Change finds where the variance of a noise-like signal changes: the sample at
// which splitting x makes it likeliest, for normal noise of one variance before
// and another behind,
//
//	L(k) = -k/2 ln(S1/k) - (n-k)/2 ln(S2/(n-k)),
//
// with S1 and S2 the sums of squares of a before k and of b from k on (a and b
// may be two views of one signal, such as with and without its tone). gain is
// how much likelier that is than no change at either end; low and high bound the places
// that are not much less likely, with independent samples for every spread ones.
func Change(a, b []float64, spread float64) (at, low, high int, gain float64) {
	n := len(a)
	if n < 8 {
		return 0, 0, n, 0
	}
	tail := make([]float64, n+1)
	for i := n - 1; i >= 0; i-- {
		tail[i] = tail[i+1] + b[i]*b[i]
	}
	likely := make([]float64, n+1)
	head, best := 0.0, math.Inf(-1)
	for k := 0; k <= n; k++ {
		likely[k] = part(head, k) + part(tail[k], n-k)
		if likely[k] > best {
			best, at = likely[k], k
		}
		if k < n {
			head += a[k] * a[k]
		}
	}
	const drop = 3 // of the log-likelihood: wider than the 1.92 of a smooth one, since this one has a corner
	low, high = at, at
	for low > 0 && best-likely[low-1] < drop*spread {
		low--
	}
	for high < n && best-likely[high+1] < drop*spread {
		high++
	}
	return at, low, high, (best - math.Max(likely[0], likely[n])) / spread
}

// part is the log-likelihood of k samples with the sum of squares s, up to a
// constant. Silence is given a floor so that it stays finite.
func part(s float64, k int) float64 {
	if k == 0 {
		return 0
	}
	return -float64(k) / 2 * math.Log(math.Max(s/float64(k), 1e-15))
}

// Split is the place that divides values into two runs with the least squares
// around their means; the length of x where one mean is as good as two.
func Split(x []float64) int {
	n := len(x)
	total, squares := 0.0, 0.0
	for _, v := range x {
		total += v
		squares += v * v
	}
	at, best := n, squares-total*total/math.Max(1, float64(n))
	whole, head := best, 0.0
	for k := 1; k < n; k++ {
		head += x[k-1]
		rest := total - head
		if cost := squares - head*head/float64(k) - rest*rest/float64(n-k); cost < best {
			best, at = cost, k
		}
	}
	if best > 0.8*whole {
		return n
	}
	return at
}
