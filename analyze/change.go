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
