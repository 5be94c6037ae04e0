// Package segment cuts a sequence of blocks, each with a vector of features,
// into stretches within which the features keep still.
package segment

import (
	"math"
	"slices"
)

// Segment is a stretch of blocks: From is the first, To the one behind the last.
type Segment struct{ From, To int }

// Options says what a stretch may look like.
type Options struct {
	Min   int     // blocks that a stretch has at least; at least 2
	Gap   int     // blocks that may be left out between two stretches, where something is being turned
	Floor float64 // scatter, in the features' unit, below which a stretch is not preferred for being quieter
}

// gapPenalty is what a left-out block costs above one of ordinary scatter, in
// units of twice the log-likelihood for each feature.
const gapPenalty = 4

// Optimal finds, for each number of stretches from 1 to most, the cut with the
// greatest Gaussian likelihood in which every stretch has its own mean and
// variance in every feature:
//
//	minimise  sum over stretches of  n * sum over features of ln(variance + Floor^2)
//
// by dynamic programming over all places of the cuts (Bellman 1961), in time
// proportional to most times the square of the number of blocks. Entry k-1 has
// k stretches; it is nil where so many do not fit in. All vectors must have the
// same length and hold finite numbers.
func Optimal(x [][]float64, most int, o Options) [][]Segment {
	n := len(x)
	out := make([][]Segment, most)
	if n == 0 || most < 1 {
		return out
	}
	s := sumsOf(x, o.Floor)
	skip := s.ordinary(x) + gapPenalty*float64(len(x[0]))
	// best[k][j]: k+1 stretches, the last of which ends at j; open[k][i]: the
	// same with the blocks up to i left out.
	best, open := table(most, n+1), table(most, n+1)
	from, left := places(most, n+1), places(most, n+1)
	for j := 1; j <= n; j++ {
		for i := 0; i <= j-max(o.Min, 2); i++ {
			c := s.cost(i, j)
			if i == 0 {
				best[0][j] = c
			}
			for k := 1; k < most; k++ {
				if v := open[k-1][i] + c; v < best[k][j] {
					best[k][j], from[k][j] = v, i
				}
			}
		}
		for k := range most {
			for g := 0; g <= min(o.Gap, j); g++ {
				if v := best[k][j-g] + float64(g)*skip; v < open[k][j] {
					open[k][j], left[k][j] = v, j-g
				}
			}
		}
	}
	for k := range most {
		if math.IsInf(best[k][n], 1) {
			break
		}
		cut, end := make([]Segment, k+1), n
		for m := k; m >= 0; m-- {
			start := 0
			if m > 0 {
				start = from[m][end]
			}
			cut[m] = Segment{start, end}
			if m > 0 {
				end = left[m-1][start]
			}
		}
		out[k] = cut
	}
	return out
}

func table(rows, columns int) [][]float64 {
	t := make([][]float64, rows)
	for k := range t {
		t[k] = make([]float64, columns)
		for j := range t[k] {
			t[k][j] = math.Inf(1)
		}
	}
	return t
}

func places(rows, columns int) [][]int {
	t := make([][]int, rows)
	for k := range t {
		t[k] = make([]int, columns)
	}
	return t
}

// sums are running sums of each feature and of its square.
type sums struct {
	sum, square [][]float64
	floor       float64
}

func sumsOf(x [][]float64, floor float64) sums {
	s := sums{floor: math.Max(floor*floor, 1e-12)}
	for f := range x[0] {
		a, b := make([]float64, len(x)+1), make([]float64, len(x)+1)
		shift := x[0][f] // keeps the difference of squares exact
		for i, v := range x {
			d := v[f] - shift
			a[i+1], b[i+1] = a[i]+d, b[i]+d*d
		}
		s.sum, s.square = append(s.sum, a), append(s.square, b)
	}
	return s
}

func (s sums) cost(i, j int) float64 {
	n := float64(j - i)
	product := 1.0
	for f := range s.sum {
		mean := (s.sum[f][j] - s.sum[f][i]) / n
		product *= math.Max(0, (s.square[f][j]-s.square[f][i])/n-mean*mean) + s.floor
	}
	return n * math.Log(product)
}

// ordinary is the cost of one block of ordinary scatter, which neighbouring
// blocks tell: the median of their squared differences is 0.91 variances.
func (s sums) ordinary(x [][]float64) float64 {
	total := 0.0
	for f := range x[0] {
		var d []float64
		for i := 1; i < len(x); i++ {
			v := x[i][f] - x[i-1][f]
			d = append(d, v*v)
		}
		if len(d) > 0 {
			slices.Sort(d)
			total += math.Log(d[len(d)/2]/0.91 + s.floor)
		}
	}
	return total
}

// unclear is by how much the sum of distances of another place for a border may
// exceed the least, in scatters, for that place to be as good.
const unclear = 4

// Settle moves the borders of a cut, each by at most reach blocks, to where
// blocks stop being nearer to the median of the stretch before and begin to be
// nearer to that of the one behind (least sum of absolute distances). A likelihood
// with a variance for each stretch lets a restless one eat of its quiet
// neighbour; this does not. Up to half blocks on either side of the border are
// left out where they were before, and all blocks between places that serve as
// well as the best.
func Settle(x [][]float64, cut []Segment, reach, half int) []Segment {
	out := slices.Clone(cut)
	for i := 1; i < len(cut); i++ {
		a, b := cut[i-1], cut[i]
		var ma, mb, weight []float64
		for f := range x[0] {
			m, s := Middle(x, a, f)
			n, t := Middle(x, b, f)
			ma, mb, weight = append(ma, m), append(mb, n), append(weight, 1/(s+t+1e-3))
		}
		from, to := max(a.From+1, a.To-reach), min(b.To-1, b.From+reach)
		sum, least, border := 0.0, math.Inf(1), a.To
		profile := make([]float64, 0, to-from+1)
		for p := from; p <= to; p++ {
			profile = append(profile, sum)
			if sum < least {
				least, border = sum, p
			}
			for f := range x[p] {
				sum += weight[f] * (math.Abs(x[p][f]-ma[f]) - math.Abs(x[p][f]-mb[f]))
			}
		}
		gap := min(half, (b.From-a.To+1)/2)
		left, right := border-gap, border+gap
		for k, v := range profile {
			if v < least+unclear {
				left, right = min(left, from+k), max(right, from+k)
			}
		}
		out[i-1].To, out[i].From = max(out[i-1].From+1, left), min(right, b.To-1)
	}
	return out
}

// Apart is by how many standard errors two stretches differ, in the feature
// in which they differ most clearly, and by how much they differ there. Medians
// stand for the means, so that clicks count little. memory is over how many
// blocks neighbours depend on each other.
func Apart(x [][]float64, a, b Segment, memory int) (errors, difference float64) {
	for f := range x[0] {
		ma, sa := Middle(x, a, f)
		mb, sb := Middle(x, b, f)
		na, nb := float64(a.To-a.From)/float64(memory), float64(b.To-b.From)/float64(memory)
		d := math.Abs(ma - mb)
		e := 1.25 * math.Sqrt(sa*sa/na+sb*sb/nb) // a median scatters 1.25 times as much as a mean
		if z := d / math.Max(e, 1e-9); z > errors {
			errors, difference = z, d
		}
	}
	return errors, difference
}

// Middle is the median of a feature within a stretch and its scatter, the
// median distance from that times 1.4826 (a normal distribution's standard
// deviation).
func Middle(x [][]float64, s Segment, f int) (median, scatter float64) {
	v := make([]float64, 0, s.To-s.From)
	for _, b := range x[s.From:s.To] {
		v = append(v, b[f])
	}
	slices.Sort(v)
	median = v[len(v)/2]
	for i := range v {
		v[i] = math.Abs(v[i] - median)
	}
	slices.Sort(v)
	return median, 1.4826 * v[len(v)/2]
}
