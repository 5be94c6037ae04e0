package signal

import "math"

// Sweep is an exponential sweep: sin(2 pi f1 L (exp(t/L) - 1)) from f1 to f2,
// where L seconds is the time in which the frequency grows by e. Its harmonics,
// each a sweep of the same L, stand apart in time by L ln(order) once it is
// compressed to a pulse (Farina, AES 108th Convention, 2000).
type Sweep struct {
	LowHz, HighHz float64
	Seconds       float64
}

// StandardSweep is the one that is written and looked for unless told otherwise.
func StandardSweep() Sweep { return Sweep{LowHz: 60, HighHz: 8000, Seconds: 10}.Synchronized() }

// Synchronized is the sweep a little shorter or longer, so that f1 L is a whole
// number: then its harmonics begin in phase with it (Novak et al., J. Audio Eng.
// Soc. 63, 786, 2015).
func (s Sweep) Synchronized() Sweep {
	cycles := math.Max(1, math.Round(s.LowHz*s.L()))
	s.Seconds = cycles / s.LowHz * math.Log(s.HighHz/s.LowHz)
	return s
}

// L is the time in seconds in which the frequency grows by e.
func (s Sweep) L() float64 { return s.Seconds / math.Log(s.HighHz/s.LowHz) }

// fades of a sweep, seconds.
const (
	fadeIn  = 0.05
	fadeOut = 0.01
)

// Value is the sweep t seconds after its start, peak 1; 0 outside of it.
func (s Sweep) Value(t float64) float64 {
	if t < 0 || t > s.Seconds {
		return 0
	}
	l := s.L()
	cycles := s.LowHz * l * math.Expm1(t/l)
	return math.Sin(2*math.Pi*(cycles-math.Floor(cycles))) * edge(t, fadeIn) * edge(s.Seconds-t, fadeOut)
}

func edge(t, length float64) float64 {
	if t >= length {
		return 1
	}
	v := math.Sin(math.Pi / 2 * t / length)
	return v * v
}

// SweepSignal is a sweep with silence before and after it, both in seconds.
func SweepSignal(rate int, s Sweep, level, lead float64) Signal {
	out := Signal{Name: "sweep", Kind: KindSweep, Rate: rate, LevelDBFS: level, Sweep: &s, StartS: lead,
		About: "all frequencies one after the other: the response, and distortion against frequency"}
	x := make([]float64, samplesIn(2*lead+s.Seconds, rate))
	a := amplitude(level)
	for i := range x {
		x[i] = a * s.Value(float64(i)/float64(rate)-lead)
	}
	out.Samples, out.PeakDBFS = x, peakDBFS(x)
	return out
}
