package audio

import (
	"math"
	"math/cmplx"

	"hisspoint/capture/dft"
)

// Sweep is an exponential sweep, sin(2 pi f1 L (exp(t/L) - 1)), f1 L a whole number.
type Sweep struct {
	LowHz, HighHz, Seconds float64
}

func (s Sweep) l() float64 { return s.Seconds / math.Log(s.HighHz/s.LowHz) }

// noiseWindows is in how many places noise is read at most.
const noiseWindows = 24

// Orders is up to which harmonic a sweep tells distortion.
const Orders = 5

// Where the pulse that a sweep is compressed to is cut out, in seconds around it:
// wide for low frequencies, whose corners ring long, and narrower for high ones, so
// that less noise comes along. What a set delays by filters lies after it; a clock
// 200 ppm off spreads it by 2 ms in 10 s.
const (
	pulseBefore = 0.03
	pulseAfter  = 0.06
	narrowFrom  = 500 // Hz, above which the window shrinks as 1/f, but not below
	leastBefore = 0.008
	leastAfter  = 0.016
	pulseTaper  = 0.3  // of the part before and after
	clearOf     = 0.03 // between the windows of pulses and those of noise
)

// reach is how far the window extends around the pulse at a frequency.
func reach(hz float64) (before, after float64) {
	k := math.Min(1, narrowFrom/hz)
	return math.Max(leastBefore, k*pulseBefore), math.Max(leastAfter, k*pulseAfter)
}

// Swept is a recording of a sweep, compressed.
//
// The transform of a sweep is, at f and as the stationary phase has it,
// 1/2 sqrt(L/f) exp(i (2 pi f L (1 - ln(f/f1)) - pi/4)), also beyond f2 for its
// harmonics (Novak et al., J. Audio Eng. Soc. 63, 786, 2015). Division by it turns
// the sweep into a pulse where it began, and the harmonic of order k into one
// L ln k earlier (Farina, AES 108th Convention, 2000); both are cut out, and the
// transform of each is the response of its order.
type Swept struct {
	sweep Sweep
	rate  float64
	pulse []float64 // compressed, circular
	start float64   // samples, where the sweep begins
	n     int       // samples of the recording

	Broken []float64 // s from the start of what was searched, where it breaks
}

// compress divides by the sweep's transform. Between bandFrom and bandTo Hz all
// is kept; outside it goes down within a fifth of an octave.
func compress(x []float64, rate float64, s Sweep, bandFrom, bandTo float64) []float64 {
	l := s.l()
	m := dft.Smooth(len(x) + int(l*math.Log(Orders+1)*rate))
	padded := make([]float64, m)
	copy(padded, x)
	bins := dft.Forward(nil, padded)
	for k := range bins {
		f := float64(k) * rate / float64(m)
		w := band(f, bandFrom, bandTo)
		if w == 0 {
			bins[k] = 0
			continue
		}
		cycles := f * l * (1 - math.Log(f/s.LowHz))
		phase := 2*math.Pi*(cycles-math.Floor(cycles)) - math.Pi/4
		bins[k] *= cmplx.Rect(w*2*math.Sqrt(f/l)/rate, -phase)
	}
	return dft.Inverse(padded, bins, m)
}

func band(f, from, to float64) float64 {
	const octaves = 0.2
	side := func(o float64) float64 {
		v := math.Sin(math.Pi / 2 * math.Max(0, math.Min(1, 1+o/octaves)))
		return v * v
	}
	if f <= 0 {
		return 0
	}
	return side(math.Log2(f/from)) * side(math.Log2(to/f))
}

// Where a sweep is looked for and how much of the power there it has to make up.
const (
	seekLow, seekHigh = 250, 3500
	leastSweep        = 0.3
)

// FindSweep looks for the sweep in x, wherever it begins. Part is how much of the
// power in the band is its own while it lasts; ok is false if that is too little.
// whole is false if the sweep is there but not all of it.
func FindSweep(x []float64, rate float64, s Sweep) (w *Swept, part float64, whole, ok bool) {
	s.HighHz, s.Seconds = cap45(s, rate)
	from, _ := seek(x, rate, s)
	begin, end := from, from+int(s.Seconds*rate)
	// What comes before and after it tells nothing of it.
	lo, hi := max(0, begin-int(0.3*rate)), min(len(x), end+int(0.3*rate))
	if hi-lo < int(0.5*s.Seconds*rate) {
		return nil, 0, false, false
	}
	from, part = seek(x[lo:hi], rate, s)
	if part < leastSweep {
		return nil, part, false, false
	}
	begin, end = lo+from, lo+from+int(s.Seconds*rate)
	if begin < -int(0.002*rate) || end > len(x)+int(0.05*rate) {
		return nil, part, false, true
	}
	// Silence before it tells the noise at low frequencies: keep what there is, up to 2 s.
	lo = max(0, begin-int(2*rate))
	hi = min(len(x), end+int(0.5*rate))
	w = &Swept{sweep: s, rate: rate, start: float64(begin - lo), n: hi - lo, Broken: s.breaks(x, float64(begin), rate)}
	w.pulse = compress(x[lo:hi], rate, s, s.LowHz, 0.45*rate/math.Pow(2, 0.2))
	return w, part, true, true
}

// cap45 is the end of a sweep that a recording of this rate can hold, and when it
// is reached.
func cap45(s Sweep, rate float64) (high, seconds float64) {
	high = math.Min(s.HighHz, 0.45*rate)
	return high, s.l() * math.Log(high/s.LowHz)
}

// seek finds where the compressed sound has most power within a pulse's window,
// and which part of all that is.
func seek(x []float64, rate float64, s Sweep) (at int, part float64) {
	high := math.Min(seekHigh, 0.4*rate)
	p := compress(x, rate, s, seekLow, high)
	width := int((pulseBefore + pulseAfter) * rate)
	sum, total, best := 0.0, 0.0, 0.0
	for i := range len(p) + width {
		v := p[i%len(p)]
		sum += v * v
		if i < len(p) {
			total += v * v
		}
		if i >= width {
			o := p[i-width]
			sum -= o * o
			if sum > best {
				best, at = sum, i-width+1+int(pulseBefore*rate)
			}
		}
	}
	if total == 0 {
		return 0, 0
	}
	// The pulse's own peak is a better mark than the window's best place.
	lo := at - int(pulseBefore*rate)
	top := 0.0
	for i := lo; i < lo+width; i++ {
		if v := math.Abs(p[(i+len(p))%len(p)]); v > top {
			top, at = v, i
		}
	}
	at %= len(p)
	if at > len(x) { // before the recording began
		at -= len(p)
	}
	return at, best / total
}

// window takes the transform at hz of the compressed sound around a lag, in
// samples after the sweep's start, cut out as a pulse at wide Hz is.
func (w *Swept) window(lag, hz, wide float64) complex128 {
	before, after := reach(wide)
	before, after = before*w.rate, after*w.rate
	m := len(w.pulse)
	from := int(math.Floor(w.start + lag - before))
	n := int(before + after)
	step := cmplx.Rect(1, -2*math.Pi*hz/w.rate)
	p := complex(1, 0)
	var sum complex128
	for i := range n {
		v := w.pulse[((from+i)%m+m)%m]
		edge := math.Min(float64(i)/(pulseTaper*before), float64(n-1-i)/(pulseTaper*after))
		if edge < 1 {
			g := math.Sin(math.Pi / 2 * edge)
			v *= g * g
		}
		sum += complex(v*real(p), v*imag(p))
		p *= step
	}
	return sum
}

// lowestTold is how far above its start, as a ratio, a sweep tells the response: a
// pulse without its lowest frequencies rings for longer than is cut out.
const lowestTold = 3.2

// Range is between which frequencies the sweep tells the response.
func (w *Swept) Range() (low, high float64) {
	return w.sweep.LowHz * lowestTold, math.Min(w.sweep.HighHz/1.1, 0.39*w.rate)
}

// At is the line that the sweep amounts to as it passes a frequency: Power is
// half the squared amplitude, Floor what noise gives on average.
func (w *Swept) At(hz float64) Line {
	h := cmplx.Abs(w.window(0, hz, hz))
	l := Line{Hz: hz, Floor: w.noise(hz, 1), Still: 1}
	l.Power = math.Max(0, h*h/2-l.Floor)
	return l
}

// Harmonic is the harmonic of an order as the fundamental passes hz.
func (w *Swept) Harmonic(hz float64, order int) Line {
	f := hz * float64(order)
	h := cmplx.Abs(w.window(-w.sweep.l()*math.Log(float64(order))*w.rate, f, f))
	l := Line{Hz: f, Floor: w.noise(f, order), Still: 1}
	l.Power = math.Max(0, h*h/2-l.Floor)
	return l
}

// noise is what windows without a pulse hold at hz on average: those between the
// pulses of an order and the next. Such a window holds the noise that was recorded
// when the sweep passed hz, moved by its lag; ones for which that lies outside of
// the recording are left out. It is +Inf if none is left.
func (w *Swept) noise(hz float64, order int) float64 {
	before, after := reach(hz)
	width := before + after
	l := w.sweep.l()
	at := w.start/w.rate + l*math.Log(hz/w.sweep.LowHz)
	sum, n := 0.0, 0.0
	add := func(lag float64) {
		if t := at + lag; t < width || t > float64(w.n)/w.rate-width {
			return
		}
		for side := -1.0; side <= 1; side++ { // frequencies that lie apart by the window's width
			v := cmplx.Abs(w.window(lag*w.rate, hz+1.3*side/width, hz))
			sum += v * v / 2
			n++
		}
	}
	step := math.Max(width, l*math.Log(1+1/float64(order))/noiseWindows)
	last := -l*math.Log(float64(order+1)) + clearOf + width
	for lag := -l*math.Log(float64(order)) - clearOf - width; lag > last; lag -= step {
		add(lag)
	}
	if n < 24 && order == 1 {
		for i := range 8 {
			add(clearOf + width*float64(i+1))
		}
	}
	if n == 0 {
		return math.Inf(1)
	}
	return sum / n
}
