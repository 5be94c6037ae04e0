package point

import (
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/curve"
	"hisspoint/analyze/internal/scatter"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// MixedUp is a reading that stands out of the course of its series, as one does whose
// recording was put at another's level.
type MixedUp struct {
	Row     int          // of the rows given
	Against int          // the row that it contradicts most: better though weaker, or worse though stronger
	Fits    analyze.Used // Level is where the others say that its reading belongs; Take.File empty: they do not say
}

const (
	// mixedSigma is by how many of their joint standard errors two readings must be in
	// the wrong order: with it 5,000 true series, simulated, gave no false alarm, with 2.6
	// two did.
	mixedSigma = 2.9
	// mixedBest and mixedLittle: where a set is at its best, a little less with more
	// signal is no mistake (its AGC, or overload); common practice, no source.
	mixedBest, mixedLittle = 30, 3
)

// Mixed finds the reading that stands furthest out of a series which has to rise with
// the level; ok is false if none does. Rows stand in the order of their levels, as Place
// puts them.
//
// Two readings y_i, y_j at levels x_i < x_j contradict each other if y_i - y_j is more
// than 2.9 times sqrt(s_i^2 + s_j^2), where s_i is how far y_i may be lower and s_j how
// far y_j may be higher (95 % intervals over 1.96). Of all readings that contradict
// others it is the one without which the least contradiction is left; of two alike, the
// one that lies further from the line through its neighbours.
func Mixed(rows []analyze.Used, c job.Criterion) (m MixedUp, ok bool) {
	var use []int
	for i, r := range rows {
		if w := r.Get(c.Quantity); r.Level.Scale != unit.Off && w.OK() && w.HasInterval() {
			use = append(use, i)
		}
	}
	all := contradiction(rows, c, use)
	if all == 0 || len(use) < 3 {
		return m, false
	}
	least, strays := math.Inf(1), 0.0
	for n, i := range use {
		left := contradiction(rows, c, slices.Delete(slices.Clone(use), n, n+1))
		d := stray(rows, c, use, n)
		if left < least-1e-9 || left < least+1e-9 && d > strays {
			least, strays, m.Row = left, d, i
		}
	}
	worst := 0.0
	for _, i := range use {
		if z := math.Max(order(rows, c, i, m.Row), order(rows, c, m.Row, i)); z > worst {
			worst, m.Against = z, i
		}
	}
	var others []curve.Sample
	for _, i := range use {
		if w := rows[i].Get(c.Quantity); i != m.Row {
			others = append(others, curve.Sample{X: rows[i].Level.DB, Y: w.Value, S: analyze.StandardError(w)})
		}
	}
	if x, err := curve.Rising(others, rows[m.Row].Get(c.Quantity).Value); err == nil {
		m.Fits = rows[m.Row]
		m.Fits.Level.DB = x.X
	}
	return m, true
}

// contradiction is how much of it is left among some rows: what their pairs are beyond
// mixedSigma, added up.
func contradiction(rows []analyze.Used, c job.Criterion, use []int) float64 {
	sum := 0.0
	for n, i := range use {
		for _, j := range use[n+1:] {
			if z := order(rows, c, i, j); z > mixedSigma {
				sum += z
			}
		}
	}
	return sum
}

// order is by how many of their joint standard errors row i is better than row j, whose
// level is higher; 0 where it is no matter.
func order(rows []analyze.Used, c job.Criterion, i, j int) float64 {
	a, b := rows[i].Get(c.Quantity), rows[j].Get(c.Quantity)
	d := a.Value - b.Value
	if rows[i].Level.DB >= rows[j].Level.DB || d <= 0 || a.Value >= mixedBest && d <= mixedLittle {
		return 0
	}
	return d / math.Max(1e-9, math.Hypot(a.Value-a.Low, b.High-b.Value)/scatter.Normal95)
}

// stray is how far, in dB, a reading lies from the line through its neighbours; at an end of
// the series from its one neighbour.
func stray(rows []analyze.Used, c job.Criterion, use []int, n int) float64 {
	y := func(k int) float64 { return rows[use[k]].Get(c.Quantity).Value }
	x := func(k int) float64 { return rows[use[k]].Level.DB }
	switch {
	case n == 0:
		return math.Abs(y(0) - y(1))
	case n == len(use)-1:
		return math.Abs(y(n) - y(n-1))
	case x(n+1) == x(n-1):
		return math.Abs(y(n) - (y(n-1)+y(n+1))/2)
	}
	t := (x(n) - x(n-1)) / (x(n+1) - x(n-1))
	return math.Abs(y(n) - (y(n-1) + t*(y(n+1)-y(n-1))))
}
