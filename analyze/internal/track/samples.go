package track

import "math"

// Still is a run of samples of one and the same value.
type Still struct {
	At, Length    int
	Value         float64
	Before, After float64 // RMS of the sound just before and after; 0 at the ends
}

// Tops counts runs of samples that lie flat at an extreme of the recording.
type Tops struct {
	Level float64 // the extreme
	Count int
	At    []int // the first of them
}

// Samples is what single samples of a stretch of recording show.
type Samples struct {
	N           int
	NotFinite   int // NaN, infinite, or beyond any sound; 0 was put in their place
	BadAt       []int
	Beyond      int // beyond +-1
	BeyondAt    []int
	Max, Min    float64
	Power       float64 // mean square
	High, Low   Tops
	Stills      []Still
	Grid        int64   // largest common divisor of all samples in units of 2^-23; 0: silence or no whole numbers
	Smooth      float64 // mean square of the differences to that of the samples
	SwapSmooth  float64 // the same with the two bytes of each sample exchanged; 0: not looked at
	SwapSmooth3 float64 // the same with the outer two of three bytes exchanged

	apart int // samples between places that are remembered
}

const (
	maxTimes  = 50   // so many places are remembered of each kind
	apart     = 0.1  // s between them: what happens in between is the same fault
	maxStills = 1000 // and so many runs
	minStill  = 32   // samples
	absurd    = 1e12 // no sound card scales like this
	flatRun   = 3    // samples
	units     = 1 << 23
	coarsest  = 16 << 8 // 16 steps of 16 bits: below, a grid is fine enough not to be looked at
)

// Scan looks at every sample of x. Samples that are no numbers become 0.
func Scan(x []float64, rate float64) Samples {
	s := Samples{N: len(x), apart: int(apart * rate)}
	if len(x) == 0 {
		return s
	}
	s.extremes(x)
	s.grid(x)
	s.tops(x)
	s.surroundings(x, int(0.01*rate))
	s.smoothness(x)
	return s
}

func (s *Samples) extremes(x []float64) {
	hi, lo, sum := math.Inf(-1), math.Inf(1), 0.0
	start, last := 0, math.NaN()
	for i, v := range x {
		if !(v < absurd && v > -absurd) {
			s.NotFinite++
			s.BadAt = s.remember(s.BadAt, i)
			x[i], v = 0, 0
		}
		if v > hi {
			hi = v
		}
		if v < lo {
			lo = v
		}
		sum += v * v
		if v != last {
			if i-start >= minStill {
				s.still(start, i, last)
			}
			start, last = i, v
		}
	}
	if len(x)-start >= minStill {
		s.still(start, len(x), last)
	}
	s.Max, s.Min, s.Power = hi, lo, sum/float64(len(x))
	if hi <= 1 && lo >= -1 {
		return
	}
	for i, v := range x {
		if v > 1 || v < -1 {
			s.Beyond++
			s.BeyondAt = s.remember(s.BeyondAt, i)
		}
	}
}

func (s *Samples) remember(at []int, i int) []int {
	if n := len(at); n == 0 || n < maxTimes && i-at[n-1] >= s.apart {
		at = append(at, i)
	}
	return at
}

func (s *Samples) still(from, to int, value float64) {
	if len(s.Stills) < maxStills {
		s.Stills = append(s.Stills, Still{At: from, Length: to - from, Value: value})
	}
}

func (s *Samples) surroundings(x []float64, n int) {
	mean := func(from, to int) float64 {
		from, to = max(0, from), min(len(x), to)
		if to <= from {
			return 0
		}
		sum := 0.0
		for _, v := range x[from:to] {
			sum += v * v
		}
		return math.Sqrt(sum / float64(to-from))
	}
	for i := range s.Stills {
		t := &s.Stills[i]
		t.Before, t.After = mean(t.At-n, t.At), mean(t.At+t.Length, t.At+t.Length+n)
	}
}

// grid finds the step of the samples, as long as it may be a coarse one.
func (s *Samples) grid(x []float64) {
	var g int64
	for _, v := range x {
		u := v * units
		k := int64(u)
		if float64(k) != u || k > units<<8 || k < -units<<8 {
			s.Grid = 0
			return
		}
		for a := k; a != 0; {
			g, a = a, g%a
		}
		if g != 0 && (g < coarsest && g > -coarsest) {
			break
		}
	}
	s.Grid = max(g, -g)
}

// tops counts the runs of at least three samples that lie within a step of 16
// bits of an extreme and that the sound runs into at a slant: a round top that the
// steps of the card make flat is entered and left within a few steps.
func (s *Samples) tops(x []float64) {
	const tolerance = 1.01 / 32768
	s.High.Level, s.Low.Level = s.Max, s.Min
	high, low := math.Inf(1), math.Inf(-1)
	if s.Max > 20*tolerance {
		high = s.Max - tolerance
	}
	if s.Min < -20*tolerance {
		low = s.Min + tolerance
	}
	for i := 0; i < len(x); i++ {
		v := x[i]
		if v < high && v > low {
			continue
		}
		t, sign, edge := &s.High, 1.0, high
		if v <= low {
			t, sign, edge = &s.Low, -1, -low
		}
		j := i + 1
		for j < len(x) && sign*x[j] >= edge {
			j++
		}
		if j-i >= flatRun && i > 0 && j < len(x) && sign*x[i-1] < edge-4*tolerance && sign*x[j] < edge-4*tolerance {
			t.Count++
			t.At = s.remember(t.At, i)
		}
		i = j - 1
	}
}

// smoothness compares the differences from sample to sample with the samples, as
// they are and with their bytes exchanged.
func (s *Samples) smoothness(x []float64) {
	const windows = 4
	length := min(1024, len(x))
	var as, two, three [2]float64
	whole16, whole24 := true, true
	for w := range windows {
		from := (len(x) - length) / windows * w
		var last, last2, last3 float64
		for i, v := range x[from : from+length] {
			u := v * 32768
			k := int32(int64(u))
			whole16 = whole16 && float64(k) == u
			u = v * units
			l := int32(int64(u))
			whole24 = whole24 && float64(l) == u
			v2 := float64(int16(uint16(k)<<8|uint16(k)>>8)) / 32768
			y := uint32(l)
			v3 := float64(int32((y&0xff)<<24|(y&0xff00)<<8|(y>>8)&0xff00)>>8) / units
			if i > 0 {
				add(&as, v, last)
				add(&two, v2, last2)
				add(&three, v3, last3)
			}
			last, last2, last3 = v, v2, v3
		}
	}
	ratio := func(p [2]float64) float64 {
		if p[1] == 0 {
			return 0
		}
		return p[0] / p[1]
	}
	s.Smooth = ratio(as)
	if whole16 {
		s.SwapSmooth = ratio(two)
	} else if whole24 {
		s.SwapSmooth3 = ratio(three)
	}
}

func add(p *[2]float64, v, last float64) {
	d := v - last
	p[0] += d * d
	p[1] += v * v
}
