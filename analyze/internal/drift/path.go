package drift

import (
	"math"
	"slices"

	"hisspoint/capture/dft"
)

const (
	foundScore = 14   // mean score of a window from which a tone runs through the sound
	present    = 12   // power over the floor from which a window holds it
	scoreCap   = 50   // what one window may add
	windowS    = 0.25 // s
	gridHz     = 1
	floorHz    = 60 // to each side, over which the floor is the median
	beside     = 6  // Hz to each side of the path in which the line is placed
)

// path is the tone's frequency from window to window.
type path struct {
	score    float64 // mean over the windows
	at       []float64
	hz       []float64
	strength []float64 // power over the floor
}

// spectra are the powers of windows over frequency, each over its floor.
type spectra struct {
	power [][]float64 // [window][frequency]
	first float64     // Hz
	step  float64     // Hz
	at    []float64   // s, the middle of each window
}

func acquire(s Sound) *path {
	sp := spectraOf(s)
	if sp == nil {
		return nil
	}
	lo := max(0, int(math.Ceil((s.Lo-sp.first)/sp.step)))
	hi := min(len(sp.power[0])-1, int(math.Floor((s.Hi-sp.first)/sp.step)))
	if hi-lo < 2 {
		return nil
	}
	p := &path{at: sp.at}
	best, score := viterbi(sp.power, lo, hi)
	p.score = score / float64(len(best))
	for i, k := range best {
		hz, strength := sp.peak(i, max(lo, k-beside), min(hi, k+beside))
		p.hz = append(p.hz, hz)
		p.strength = append(p.strength, strength)
	}
	return p
}

// peak is the strongest frequency of a window between two bins, by a parabola
// through the logarithms.
func (sp *spectra) peak(i, lo, hi int) (hz, strength float64) {
	w := sp.power[i]
	k := lo
	for j := lo; j <= hi; j++ {
		if w[j] > w[k] {
			k = j
		}
	}
	d := 0.0
	if k > 0 && k+1 < len(w) {
		a, b, c := math.Log(w[k-1]+1e-30), math.Log(w[k]+1e-30), math.Log(w[k+1]+1e-30)
		if bend := a - 2*b + c; bend < 0 {
			d = math.Max(-1, math.Min(1, (a-c)/2/bend))
		}
	}
	return sp.first + (float64(k)+d)*sp.step, w[k]
}

// viterbi is the path of the highest score through bins lo to hi, which moves by one
// bin a window at most.
func viterbi(power [][]float64, lo, hi int) (path []int, score float64) {
	n := hi - lo + 1
	was, is := make([]float64, n), make([]float64, n)
	from := make([][]int8, len(power))
	for i, w := range power {
		from[i] = make([]int8, n)
		for k := range n {
			best, step := was[k], int8(0)
			if k > 0 && was[k-1] > best {
				best, step = was[k-1], -1
			}
			if k+1 < n && was[k+1] > best {
				best, step = was[k+1], 1
			}
			is[k], from[i][k] = best+math.Min(w[lo+k], scoreCap), step
		}
		was, is = is, was
	}
	k := 0
	for j := range was {
		if was[j] > was[k] {
			k = j
		}
	}
	score = was[k]
	path = make([]int, len(power))
	for i := len(power) - 1; i >= 0; i-- {
		path[i] = lo + k
		k += int(from[i][k])
	}
	return path, score
}

// spectraOf cuts the complex baseband of the band into Hann windows, half overlapped.
func spectraOf(s Sound) *spectra {
	seconds := float64(len(s.X)) / s.Rate
	if len(s.Band) < 8 || seconds < MinSeconds {
		return nil
	}
	df := s.Rate / float64(s.M)
	z := make([]complex128, dft.Smooth(len(s.Band)))
	copy(z, s.Band)
	rate := float64(len(z)) * df
	z = dft.InverseComplex(z)
	z = z[:min(len(z), int(seconds*rate))]
	length := max(8, int(math.Round(math.Min(windowS, seconds/4)*rate)))
	hop := length / 2
	windows := (len(z)-length)/hop + 1
	if windows < 3 {
		return nil
	}
	hann, _ := hannOf(length)
	grid := dft.Smooth(max(length, int(rate/gridHz)))
	sp := &spectra{first: float64(s.First) * df, step: rate / float64(grid)}
	used := min(grid, int(float64(len(s.Band)-1)*df/sp.step)+1)
	for i := range windows {
		buf := make([]complex128, grid)
		for t := range hann {
			buf[t] = z[i*hop+t] * complex(hann[t], 0)
		}
		buf = dft.InverseComplex(buf) // the transform itself, backwards
		w := make([]float64, used)
		for k := range w {
			v := buf[(grid-k)%grid]
			w[k] = real(v)*real(v) + imag(v)*imag(v)
		}
		sp.power = append(sp.power, w)
		sp.at = append(sp.at, (float64(i*hop)+float64(length)/2)/rate)
	}
	sp.whiten()
	return sp
}

// whiten divides by the floor: the median over time, which a tone that sweeps does not
// lift, and of that the median over frequency, which one that stands does not lift. The
// median of the power of Gaussian noise is ln 2 of its mean.
func (sp *spectra) whiten() {
	n := len(sp.power[0])
	floor := make([]float64, n)
	column := make([]float64, len(sp.power))
	for k := range n {
		for i, w := range sp.power {
			column[i] = w[k]
		}
		slices.Sort(column)
		floor[k] = (column[(len(column)-1)/2] + column[len(column)/2]) / 2 / math.Ln2
	}
	const block = 8
	reach := int(floorHz / sp.step)
	for lo := 0; lo < n; lo += block {
		around := slices.Clone(floor[max(0, lo+block/2-reach):min(n, lo+block/2+reach+1)])
		slices.Sort(around)
		f := math.Max(around[len(around)/2], 1e-30)
		for _, w := range sp.power {
			for k := lo; k < min(n, lo+block); k++ {
				w[k] /= f
			}
		}
	}
}

// hannOf is a Hann window and its sum.
func hannOf(n int) (w []float64, sum float64) {
	w = make([]float64, n)
	for t := range w {
		w[t] = (1 - math.Cos(2*math.Pi*(float64(t)+0.5)/float64(n))) / 2
		sum += w[t]
	}
	return w, sum
}
