package analyze

import (
	"math"

	"hisspoint/analyze/internal/scatter"
)

// Change is by how many dB less signal the point after does with than the
// point before; ok is false unless both were found on one scale. Of the
// contributions to their intervals only the scatter of the readings is left:
// generator and pad were the same for both and cancel. The two scatters are
// independent, so they add as root-sum-square (GUM, 5.1.2), with the expansion
// k = 1.96.
func Change(before, after Point) (change Reading, ok bool) {
	if before.Status != Found || after.Status != Found || before.Level.Scale != after.Level.Scale {
		return Reading{}, false
	}
	d := before.Level.DB - after.Level.DB
	a, okA := ownScatter(before)
	b, okB := ownScatter(after)
	if !okA || !okB {
		return exact("sensitivity", "dB", d, "a point has no interval"), true
	}
	h := scatter.Normal95 * math.Hypot(a, b)
	return reading("sensitivity", "dB", d, d-h, d+h), true
}

// ChangeOf is figure after less figure before; ok is false unless both have a
// value in one unit. Their scatters are independent and add as root-sum-square
// (GUM, 5.1.2); each side of the interval is taken by itself, since figures
// such as percents are not symmetric.
func ChangeOf(before, after Reading) (change Reading, ok bool) {
	if !before.OK() || !after.OK() || before.Unit != after.Unit {
		return Reading{}, false
	}
	d := after.Value - before.Value
	if !before.HasInterval() || !after.HasInterval() {
		return exact(after.Name, differenceUnit(after.Unit), d, "a figure has no interval"), true
	}
	low := math.Hypot(after.Value-after.Low, before.High-before.Value)
	high := math.Hypot(after.High-after.Value, before.Value-before.Low)
	return reading(after.Name, differenceUnit(after.Unit), d, d-low, d+high), true
}

// ChangeShared is ChangeOf between two rounds on one bench: what both share (the
// generator's level or deviation, the pad) is off by the same in both and cancels.
// Of a part that goes with the figure, as a share of a deviation does, its
// difference stays in.
func ChangeShared(before, after Reading) (change Reading, ok bool) {
	change, ok = ChangeOf(before.alone(), after.alone())
	if left := scatter.Normal95 * math.Abs(after.Common-before.Common); ok && left > 0 && change.HasInterval() {
		d := change.Value
		change.Low, change.High = d-math.Hypot(d-change.Low, left), d+math.Hypot(change.High-d, left)
	}
	return change, ok
}

// alone is a reading without what it shares with others.
func (r Reading) alone() Reading {
	if !r.HasInterval() || r.Common == 0 {
		return r
	}
	common := scatter.Normal95 * r.Common
	side := func(d float64) float64 { return math.Sqrt(math.Max(0, d*d-common*common)) }
	r.Low, r.High, r.Common = r.Value-side(r.Value-r.Low), r.Value+side(r.High-r.Value), 0
	return r
}

// sharing is a reading with a standard uncertainty in its interval that a second
// round shares; each side grows by it as root-sum-square (GUM, 5.1.2).
func (r Reading) sharing(standard float64) Reading {
	if !r.HasInterval() || standard <= 0 || !finite(standard) {
		return r
	}
	h := scatter.Normal95 * standard
	r.Low, r.High = r.Value-math.Hypot(r.Value-r.Low, h), r.Value+math.Hypot(r.High-r.Value, h)
	r.Common = math.Hypot(r.Common, standard)
	return r
}

// differenceUnit is the unit of a difference: of two levels it is in dB.
func differenceUnit(unit string) string {
	if unit == "dBFS" || unit == "dBm" {
		return "dB"
	}
	return unit
}

// Significant tells whether a change is larger than its uncertainty.
func Significant(change Reading) bool {
	return change.HasInterval() && (change.Low > 0 || change.High < 0)
}

// ownScatter is the standard uncertainty that the series itself gave a point:
// its readings, and its course between the levels.
func ownScatter(p Point) (float64, bool) {
	sum, known := 0.0, false
	for _, s := range p.Shares {
		if s.Name == ShareReadings || s.Name == ShareBetween {
			sum += s.DB * s.DB
			known = true
		}
	}
	return math.Sqrt(sum), known && p.NoInterval == "" && p.OneSided == ""
}
