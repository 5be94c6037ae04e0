package audio

import (
	"math"
	"slices"
)

// Weights turn levels in dB at some frequencies into one figure: the sum of
// weight times level.
type Weights []float64

// Of is the figure of these levels.
func (w Weights) Of(dB []float64) float64 {
	sum := 0.0
	for i, v := range dB {
		sum += w[i] * v
	}
	return sum
}

// SD is the figure's standard deviation where those of the levels are independent.
func (w Weights) SD(sd []float64) float64 {
	sum := 0.0
	for i, v := range sd {
		sum += w[i] * w[i] * v * v
	}
	return math.Sqrt(sum)
}

// Less is w less other.
func (w Weights) Less(other Weights) Weights {
	out := slices.Clone(w)
	for i, v := range other {
		out[i] -= v
	}
	return out
}

// One picks a single level.
func One(n, i int) Weights {
	w := make(Weights, n)
	w[i] = 1
	return w
}

// near is the share by which a frequency may miss another and still stand for it.
const near = 0.002

// AtReference picks the level at 1 kHz: that of the tone there, else a straight
// line between its neighbours over log frequency, which may be at most most
// octaves apart. It is nil if there is none. Frequencies rise.
func AtReference(hz []float64, most float64) Weights {
	for i, f := range hz {
		if math.Abs(f/Reference-1) < near {
			return One(len(hz), i)
		}
	}
	i, _ := slices.BinarySearch(hz, Reference)
	if i == 0 || i == len(hz) || Octaves(hz[i])-Octaves(hz[i-1]) > most {
		return nil
	}
	w := make(Weights, len(hz))
	u := -Octaves(hz[i-1]) / (Octaves(hz[i]) - Octaves(hz[i-1]))
	w[i-1], w[i] = 1-u, u
	return w
}

// leastSpan is how many octaves points have to span for a tilt.
const leastSpan = 2

// Tilt gives the slope, in dB an octave, of the straight line that fits the
// levels between low and high Hz best (least squares), each counted with the
// width in octaves that it stands for, so that close points do not outweigh
// others. It is nil for fewer than three points or a span below two octaves.
func Tilt(hz []float64, low, high float64) Weights {
	width := make([]float64, len(hz))
	from, to := -1, -1
	for i, f := range hz {
		if f >= low*(1-near) && f <= high*(1+near) {
			if from < 0 {
				from = i
			}
			to = i
		}
	}
	if from < 0 || to-from < 2 || Octaves(hz[to])-Octaves(hz[from]) < leastSpan {
		return nil
	}
	sum, mean := 0.0, 0.0
	for i := from; i <= to; i++ {
		a, b := Octaves(hz[max(from, i-1)]), Octaves(hz[min(to, i+1)])
		width[i] = (b - a) / 2
		sum += width[i]
		mean += width[i] * Octaves(hz[i])
	}
	mean /= sum
	square := 0.0
	w := make(Weights, len(hz))
	for i := from; i <= to; i++ {
		d := Octaves(hz[i]) - mean
		w[i] = width[i] * d
		square += width[i] * d * d
	}
	for i := range w {
		w[i] /= square
	}
	return w
}

// bandMiss is how far, in octaves, points may fall short of a band's ends.
const bandMiss = 0.1

// Mean gives the mean level over a band, over log frequency: that of pink noise
// through the response in dB. Between points it runs straight. It is nil where
// points do not reach the band's ends.
func Mean(hz []float64, low, high float64) Weights {
	n := len(hz)
	if n < 2 || Octaves(hz[0]) > Octaves(low)+bandMiss || Octaves(hz[n-1]) < Octaves(high)-bandMiss {
		return nil
	}
	a, b := math.Max(Octaves(low), Octaves(hz[0])), math.Min(Octaves(high), Octaves(hz[n-1]))
	w := make(Weights, n)
	for i := 1; i < n; i++ {
		x0, x1 := Octaves(hz[i-1]), Octaves(hz[i])
		lo, hi := math.Max(a, x0), math.Min(b, x1)
		if hi <= lo {
			continue
		}
		u := ((lo+hi)/2 - x0) / (x1 - x0) // of the straight line's mean
		w[i-1] += (1 - u) * (hi - lo) / (b - a)
		w[i] += u * (hi - lo) / (b - a)
	}
	return w
}

// Edges are the frequencies on either side of 1 kHz at which levels, relative to
// 1 kHz, first fall through drop dB (-3); 0 where they do not within the points.
func Edges(hz, dB []float64, drop float64) (low, high float64) {
	start, _ := slices.BinarySearch(hz, Reference)
	cross := func(i, j int) float64 { // level i is above, j below
		u := (dB[i] - drop) / (dB[i] - dB[j])
		return hz[i] * math.Pow(hz[j]/hz[i], u)
	}
	for i := min(start, len(hz)-1); i > 0; i-- {
		if dB[i] >= drop && dB[i-1] < drop {
			low = cross(i, i-1)
			break
		}
	}
	for i := max(0, start-1); i+1 < len(hz); i++ {
		if dB[i] >= drop && dB[i+1] < drop {
			high = cross(i, i+1)
			break
		}
	}
	return low, high
}
