package audio

import (
	"math"
	"math/cmplx"
	"slices"

	"hisspoint/capture/dft"
)

// Line is a steady tone in a stretch of sound.
type Line struct {
	Hz    float64
	Power float64 // mean square, what noise adds on average taken off
	Floor float64 // mean square that the noise around it alone would give a line
	Still float64 // share of the power around it that is in the line itself: 1 for a steady tone
}

// Stands is how far the line stands above the noise, as a power ratio.
func (l Line) Stands() float64 { return l.Power / math.Max(l.Floor, 1e-300) }

// DB is the line's level, 10 log10(mean square).
func (l Line) DB() float64 { return 10 * math.Log10(l.Power) }

// SD is the standard deviation of its level in dB: of the noise, whose mean square
// in the line is the floor, half lies in phase with it, so that the amplitude
// scatters by sqrt(floor / 2 power).
func (l Line) SD() float64 { return 20 / math.Ln10 * math.Sqrt(l.Floor/(2*l.Power)) }

// Stretch is the spectrum of a stretch of sound under a Hann window, whose lines
// leak nothing into each other from four bins apart on.
type Stretch struct {
	rate float64
	x    []float64 // windowed
	sum  float64   // of the window
	all  float64   // mean square
	bins []complex128
	pow  []float64 // mean square of a line in each bin
}

// smoothBelow is the largest product of 2, 3 and 5 that is even and at most n.
func smoothBelow(n int) int {
	for n -= n % 2; n > 2 && dft.Smooth(n) != n; n -= 2 {
	}
	return n
}

// LeastSamples is how many samples a stretch has to have.
const LeastSamples = 64

// NewStretch takes the spectrum of x, of which a few samples at the end may stay
// unused. x has at least LeastSamples samples and is not changed.
func NewStretch(x []float64, rate float64) *Stretch {
	n := smoothBelow(len(x))
	s := &Stretch{rate: rate, x: make([]float64, n)}
	mean := 0.0
	for _, v := range x[:n] {
		mean += v / float64(n)
		s.all += v * v / float64(n)
	}
	for i := range s.x {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n))
		s.x[i] = w * (x[i] - mean)
		s.sum += w
	}
	s.bins = dft.Forward(nil, s.x)
	s.pow = make([]float64, len(s.bins))
	for k, c := range s.bins {
		s.pow[k] = 2 * (real(c)*real(c) + imag(c)*imag(c)) / (s.sum * s.sum)
	}
	return s
}

// Bin is the width of a bin in Hz.
func (s *Stretch) Bin() float64 { return s.rate / float64(len(s.x)) }

func (s *Stretch) bin(hz float64) int {
	return max(0, min(len(s.pow)-1, int(math.Round(hz/s.Bin()))))
}

// Band is the mean square of what lies between two frequencies. A Hann window
// spreads a line over bins that add up to 1.5 times its power.
func (s *Stretch) Band(low, high float64) float64 {
	sum := 0.0
	for k := s.bin(low); k <= s.bin(high); k++ {
		sum += s.pow[k]
	}
	return sum / 1.5
}

// Peak is the frequency of the strongest line between two frequencies.
func (s *Stretch) Peak(low, high float64) float64 {
	best := s.bin(low)
	for k := best; k <= s.bin(high); k++ {
		if s.pow[k] > s.pow[best] {
			best = k
		}
	}
	return s.refine(best)
}

// refine is the frequency of the line whose strongest bin is k. The amplitudes of
// a Hann window's bins beside each other are (1+d)/(2-d) at d bins from the
// first, which is solved for d.
func (s *Stretch) refine(k int) float64 {
	if k < 1 || k+1 >= len(s.pow) {
		return float64(k) * s.Bin()
	}
	side := 1
	if s.pow[k-1] > s.pow[k+1] {
		side = -1
	}
	if s.pow[k] == 0 {
		return float64(k) * s.Bin()
	}
	r := math.Sqrt(s.pow[k+side] / s.pow[k])
	d := math.Max(0, math.Min(0.5, (2*r-1)/(1+r)))
	return (float64(k) + float64(side)*d) * s.Bin()
}

// Where the noise beside a line is read, in bins from it, and how far the line's
// own unrest is looked for.
const (
	besideFrom = 4
	besideTo   = 40
	restTo     = 12
)

// rounding is the share of all power that no line below can be told from the
// rounding of the computation.
const rounding = 1e-24

// At measures the line at a frequency. The floor is the median of the bins beside
// it, over ln 2, as noise has it (powers are exponentially distributed), so that a
// few other lines there change little.
func (s *Stretch) At(hz float64) Line {
	l := Line{Hz: hz}
	total := cmplx.Abs(s.project(hz)) / s.sum
	power := 2 * total * total
	k := s.bin(hz)
	var side []float64
	around := 0.0
	for d := -besideTo; d <= besideTo; d++ {
		i := k + d
		if i < 1 || i >= len(s.pow) {
			continue
		}
		if d > -besideFrom && d < besideFrom {
			around += s.pow[i]
			continue
		}
		side = append(side, s.pow[i])
	}
	if len(side) > 0 {
		slices.Sort(side)
		l.Floor = math.Max(side[len(side)/2]/math.Ln2, rounding*s.all)
	}
	unrest := 0.0
	for d := besideFrom; d <= restTo; d++ {
		for _, i := range []int{k - d, k + d} {
			if i >= 1 && i < len(s.pow) {
				unrest += s.pow[i]
			}
		}
	}
	l.Power = math.Max(0, power-l.Floor)
	if all := around + unrest; all > 0 {
		l.Still = math.Min(1, 1.5*power/all)
	}
	return l
}

// Near measures the strongest line within span Hz of a frequency.
func (s *Stretch) Near(hz, span float64) Line { return s.At(s.Peak(hz-span, hz+span)) }

// project is the sum of x exp(-i w t).
func (s *Stretch) project(hz float64) complex128 {
	var sum complex128
	const block = 512
	step := cmplx.Rect(1, -2*math.Pi*hz/s.rate)
	for from := 0; from < len(s.x); from += block {
		p := cmplx.Rect(1, -2*math.Pi*math.Mod(hz/s.rate*float64(from), 1))
		var re, im float64
		for _, v := range s.x[from:min(len(s.x), from+block)] {
			re += v * real(p)
			im += v * imag(p)
			p *= step
		}
		sum += complex(re, im)
	}
	return sum
}

// Counts tells whether a line is a tone: it stands 15 dB above what noise gives,
// and keeps still.
func (l Line) Counts() bool { return l.Stands() > math.Pow(10, 1.5) && l.Still > 0.5 }
