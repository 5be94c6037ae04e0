package track

import (
	"math"
	"slices"
	"sort"
)

const (
	// minSide is the fewest hops on each side of a change.
	minSide = 5
	// sure is how many standard deviations the rank sum must lie from its mean. Over
	// all places of all curves of a recording chance passes 5 less than once in
	// 10,000 recordings, and the change must be large, too.
	sure = 5
	// maxParts bounds how many parts a recording is divided into.
	maxParts = 200
)

// split finds where the values of x change most surely: the place at which the
// rank sum to its left lies furthest from its mean, in standard deviations
// (Wilcoxon 1945; over all places, Pettitt 1979). Ranks make it hold for any
// distribution, so for clicks as for Gaussian noise.
func split(x []float64) (at int, z float64) {
	n := len(x)
	if n < 2*minSide {
		return 0, 0
	}
	rank := ranks(x)
	sum := 0.0
	for k := 1; k < n; k++ {
		sum += rank[k-1] - float64(n+1)/2
		if k < minSide || n-k < minSide {
			continue
		}
		l, r := float64(k), float64(n-k)
		if d := math.Abs(sum) / math.Sqrt(l*r*float64(n+1)/12); d > z {
			at, z = k, d
		}
	}
	return at, z
}

// ranks counted from 1; equal values share the mean of theirs.
func ranks(x []float64) []float64 {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	sort.Slice(order, func(a, b int) bool { return x[order[a]] < x[order[b]] })
	out := make([]float64, len(x))
	for i := 0; i < len(order); {
		j := i
		for j < len(order) && x[order[j]] == x[order[i]] {
			j++
		}
		for _, o := range order[i:j] {
			out[o] = float64(i+j+1) / 2
		}
		i = j
	}
	return out
}

// Steps returns the places where x changes by at least size between the
// medians of the parts beside it, surely, in order.
func Steps(x []float64, size float64) []int {
	var cuts []int
	var look func(from, to int)
	look = func(from, to int) {
		if len(cuts) >= maxParts {
			return
		}
		k, ok := change(x, from, to, size, sure)
		for n := (to - from) / 2; !ok && n >= window; n /= 2 {
			// What goes up and comes down again cancels over the whole, so shorter stretches are tried.
			for at := from; !ok && at+n <= to; at += n / 2 {
				k, ok = change(x, at, at+n, size, sure+0.5)
			}
		}
		if !ok {
			return
		}
		cuts = append(cuts, k)
		look(from, k)
		look(k, to)
	}
	look(0, len(x))
	slices.Sort(cuts)
	return cuts
}

// window is the shortest stretch, in hops, in which ranks alone can be sure.
const window = 48

func change(x []float64, from, to int, size, sure float64) (int, bool) {
	x = x[from:to]
	k, z := split(x)
	if z < sure {
		return 0, false
	}
	k = sharpen(x, k)
	return from + k, math.Abs(Median(x[:k])-Median(x[k:])) >= size
}

// Wanders tells whether x moves slowly against its hops by more than size: ranks of
// neighbours are correlated (Wald and Wolfowitz 1943), which those of a steady
// sound are not, and medians of five hops keep to no narrower range.
func Wanders(x []float64, size float64) bool {
	n := len(x)
	if n < window {
		return false
	}
	rank := ranks(x)
	mean := float64(n+1) / 2
	var lag, whole float64
	for i, r := range rank {
		whole += (r - mean) * (r - mean)
		if i > 0 {
			lag += (r - mean) * (rank[i-1] - mean)
		}
	}
	if whole == 0 || lag/whole*math.Sqrt(float64(n)) < sure+1 {
		return false
	}
	smooth := make([]float64, 0, n/5)
	for i := 0; i+5 <= n; i += 5 {
		smooth = append(smooth, Median(x[i:i+5]))
	}
	slices.Sort(smooth)
	return smooth[len(smooth)*9/10]-smooth[len(smooth)/10] > size
}

// sharpen moves a change by some hops to where a step between the medians of its
// sides fits best: ranks keep rising past it where values happen to lie high. Values
// beyond the medians count as them, so outliers do not pull.
func sharpen(x []float64, k int) int {
	const reach = 10
	a, b := Median(x[:k]), Median(x[k:])
	lo, hi := math.Min(a, b), math.Max(a, b)
	best, at, sum := 0.0, k, 0.0
	for i := max(minSide, k-reach); i <= min(len(x)-minSide, k+reach); i++ {
		if i == max(minSide, k-reach) {
			at = i
			continue
		}
		// A hop before the step should be like a, one after it like b.
		v := math.Max(lo, math.Min(hi, x[i-1]))
		sum += (v-a)*(v-a) - (v-b)*(v-b)
		if sum < best {
			best, at = sum, i
		}
	}
	return at
}

// Stretch is a stretch of hops, From to To-1.
type Stretch struct{ From, To int }

const (
	runHops  = 6    // so many hops in a row are no chance ...
	runShare = 0.93 // ... if each lies beyond what this share of all hops keeps to
)

// Bursts returns stretches in which every hop of x lies beyond nearly all
// others, on the same side, and size from the median: too short for Steps. Hops
// that chance puts there stand alone: seven in a hundred to the sixth power.
func Bursts(x []float64, size float64) []Stretch {
	if len(x) < 2*runHops {
		return nil
	}
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	mid := sorted[len(sorted)/2]
	high := math.Max(mid+size, sorted[int(runShare*float64(len(x)-1))])
	low := math.Min(mid-size, sorted[int((1-runShare)*float64(len(x)-1))])
	var out []Stretch
	side := func(v float64) int {
		switch {
		case v >= high:
			return 1
		case v <= low:
			return -1
		}
		return 0
	}
	for i := 0; i < len(x); {
		s := side(x[i])
		j := i + 1
		for j < len(x) && side(x[j]) == s {
			j++
		}
		if s != 0 && j-i >= runHops {
			out = append(out, Stretch{i, j})
		}
		i = j
	}
	return out
}

// Outages returns stretches of at least two hops in which the amplitude lies
// below a third of its median while hops scatter by far less.
func Outages(amplitude []float64) []Stretch {
	m := Median(amplitude)
	if s := Spread(amplitude); m == 0 || 8*s > 0.66*m {
		return nil
	}
	var out []Stretch
	for i := 0; i < len(amplitude); i++ {
		j := i
		for j < len(amplitude) && amplitude[j] < m/3 {
			j++
		}
		if j-i >= 2 {
			out = append(out, Stretch{i, j})
		}
		i = max(i, j)
	}
	return out
}
