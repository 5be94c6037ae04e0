package segment

import "math"

// places is how many places of cuts are tried at most; of longer recordings
// only every second block, third block and so on. The borders are placed to the
// block afterwards.
const places = 1200

// search gives for each number k of stretches the cut that minimises
//
//	sum over stretches of  sum over blocks and features of ((x - mean) / scatter)^2
//
// by dynamic programming over all places of the cuts, up to the number of
// stretches that is known, or that costs least with a penalty for each.
func (w weighed) search(o Options) [][]Stretch {
	least := max(2, o.Min)
	step := (w.n + places - 1) / places
	g := grid{ends: []int{0}}
	for i := step; i < w.n; i += step {
		g.ends = append(g.ends, i)
	}
	g.ends = append(g.ends, w.n)
	g.least = (least + step - 1) / step
	g.costs = make([][]float64, len(g.ends))
	for j := range g.costs {
		g.costs[j] = make([]float64, max(0, j-g.least+1))
		for i := range g.costs[j] {
			g.costs[j][i] = w.cost(g.ends[i], g.ends[j])
		}
	}
	if w.n < least || len(g.costs[len(g.costs)-1]) == 0 {
		return [][]Stretch{{{0, w.n}}}
	}
	return g.cuts(o)
}

// grid is the places where cuts are tried, with the costs of what lies between:
// costs[j][i] is that from place i to place j, which are far enough apart.
type grid struct {
	ends  []int
	least int
	costs [][]float64
}

func (g grid) cuts(o Options) [][]Stretch {
	n := len(g.ends)
	most, penalty := o.Count, math.Max(0, or(o.Penalty, DefaultPenalty))
	if most == 0 {
		most = max(1, o.Most)
	}
	best := make([]float64, n) // of the cuts that end at a place
	for j := range best {
		best[j] = math.Inf(1)
		if len(g.costs[j]) > 0 {
			best[j] = g.costs[j][0]
		}
	}
	totals := []float64{best[n-1]}
	var from [][]int
	for len(totals) < most && (o.Count > 0 || penalty == 0 || len(totals)-cheapest(totals, penalty) < lookAhead) {
		next, at := make([]float64, n), make([]int, n)
		for j := range next {
			next[j] = math.Inf(1)
			for i, c := range g.costs[j] {
				if v := best[i] + c; v < next[j] {
					next[j], at[j] = v, i
				}
			}
		}
		if math.IsInf(next[n-1], 1) {
			break
		}
		best, from, totals = next, append(from, at), append(totals, next[n-1])
	}
	number := len(totals)
	if o.Count == 0 && penalty > 0 {
		number = cheapest(totals, penalty)
	}
	out := make([][]Stretch, number)
	for k := range out {
		out[k] = make([]Stretch, k+1)
		end := n - 1
		for m := k; m >= 0; m-- {
			start := 0
			if m > 0 {
				start = from[m-1][end]
			}
			out[k][m] = Stretch{g.ends[start], g.ends[end]}
			end = start
		}
	}
	return out
}

// lookAhead is how many stretches in a row may fail to win their penalty before
// the search stops: what goes up and comes down again needs two.
const lookAhead = 4

// cheapest is the number of stretches with the least total and penalty.
func cheapest(totals []float64, penalty float64) int {
	least, number := math.Inf(1), 1
	for k, t := range totals {
		if c := t + penalty*float64(k); c < least {
			least, number = c, k+1
		}
	}
	return number
}
