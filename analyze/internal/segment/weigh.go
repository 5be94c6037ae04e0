package segment

import (
	"math"
	"slices"
)

// How blocks are weighed.
const (
	leastScatters = 20  // blocks to each side, at least, over which the scatter is taken; else the shortest stretch
	medianBlocks  = 10  // to each side of the running median, at most; else a quarter of the shortest stretch
	heldAt        = 2.5 // scatters from it beyond which a value counts as no further away
	thrownAt      = 8   // and as if it were the median
	leastScatter  = 1e-6
)

// weighed are running sums of each feature in units of its scatter nearby.
type weighed struct {
	weight, sum, square [][]float64 // of 1, x and x^2, each times 1/scatter^2
	n                   int
}

// weigh measures every feature against the scatter that neighbouring blocks
// show, and holds back what lies far from the running median for a short while.
// That median keeps edges, so it moves no border.
func weigh(x [][]float64, o Options) weighed {
	w := weighed{n: len(x)}
	v := make([]float64, len(x))
	for f := range len(x[0]) - o.Aside {
		for i := range x {
			v[i] = x[i][f]
		}
		floor := leastScatter
		if f < len(o.Floor) {
			floor = math.Max(floor, o.Floor[f])
		}
		s := scatters(v, floor, max(leastScatters, o.Min))
		middle := running(v, min(medianBlocks, max(2, o.Min/4)))
		a, b, c := make([]float64, len(x)+1), make([]float64, len(x)+1), make([]float64, len(x)+1)
		for i := range v {
			d := v[i] - middle[i]
			if math.Abs(d) > thrownAt*s[i] {
				d = 0
			}
			d = math.Max(-heldAt*s[i], math.Min(heldAt*s[i], d)) + middle[i] - v[0] // v[0] keeps differences of sums exact
			u := 1 / (s[i] * s[i])
			a[i+1], b[i+1], c[i+1] = a[i]+u, b[i]+u*d, c[i]+u*d*d
		}
		w.weight, w.sum, w.square = append(w.weight, a), append(w.sum, b), append(w.square, c)
	}
	return w
}

// scatters is the standard deviation that the median distance between
// neighbours implies around each block.
func scatters(v []float64, floor float64, reach int) []float64 {
	out := make([]float64, len(v))
	d := make([]float64, max(0, len(v)-1))
	for i := range d {
		d[i] = math.Abs(v[i+1] - v[i])
	}
	const every = 4 // it changes slowly
	for i := range out {
		if i%every != 0 {
			out[i] = out[i-1]
			continue
		}
		out[i] = floor
		if part := d[max(0, i-reach):min(len(d), i+reach)]; len(part) > 0 {
			out[i] = math.Max(floor, 1.4826/math.Sqrt2*median(slices.Clone(part)))
		}
	}
	return out
}

// running is the median of the blocks up to reach away.
func running(v []float64, reach int) []float64 {
	out := make([]float64, len(v))
	buffer := make([]float64, 0, 2*reach+1)
	for i := range v {
		r := min(reach, i, len(v)-1-i) // as many on either side, so that an end is no edge
		r = max(r, min(2, len(v)-1))
		buffer = append(buffer[:0], v[max(0, i-r):min(len(v), i+r+1)]...)
		out[i] = median(buffer)
	}
	return out
}

// median sorts v.
func median(v []float64) float64 {
	slices.Sort(v)
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}

// cost is the weighed sum of squares around the mean of blocks i to j-1.
func (w weighed) cost(i, j int) float64 {
	total := 0.0
	for f := range w.sum {
		s := w.sum[f][j] - w.sum[f][i]
		total += w.square[f][j] - w.square[f][i] - s*s/(w.weight[f][j]-w.weight[f][i])
	}
	return total
}
