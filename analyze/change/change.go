// Package change holds two results against each other: what changed between rounds or
// jobs, whether they are alike enough to be compared at all, and how figures of many
// sets spread. It must not know how a figure was found, nor judge it.
package change

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/scatter"
)

// OfRounds is the change of a figure between two rounds on one bench: of a point as
// ofPoints has it, else as Shared has it of the figures' own scatter.
func OfRounds(before, after analyze.Result, figure string) (change analyze.Reading, ok bool) {
	if before.Point != nil && after.Point != nil {
		return ofPoints(*before.Point, *after.Point)
	}
	return Shared(before.OwnOf(figure), after.OwnOf(figure))
}

// ofPoints is by how many dB less signal the point after does with than the
// point before; ok is false unless both were found on one scale. Of the
// contributions to their intervals only the scatter of the readings is left:
// generator and pad were the same for both and cancel. The two scatters are
// independent, so they add as root-sum-square (GUM, 5.1.2), with the expansion
// k = 1.96.
func ofPoints(before, after analyze.Point) (change analyze.Reading, ok bool) {
	if before.Status != analyze.Found || after.Status != analyze.Found || before.Level.Scale != after.Level.Scale {
		return analyze.Reading{}, false
	}
	d := before.Level.DB - after.Level.DB
	a, okA := ownScatter(before)
	b, okB := ownScatter(after)
	if !okA || !okB {
		return analyze.Exact("sensitivity", "dB", d, "a point has no interval"), true
	}
	h := scatter.Normal95 * math.Hypot(a, b)
	return analyze.NewReading("sensitivity", "dB", d, d-h, d+h), true
}

// Shared is ChangeOf between two rounds on one bench: what both share (the
// generator's level or deviation, the pad) is off by the same in both and cancels.
// Of a part that goes with the figure, as a share of a deviation does, its
// difference stays in.
func Shared(before, after analyze.Reading) (change analyze.Reading, ok bool) {
	change, ok = analyze.ChangeOf(before.Alone(), after.Alone())
	if left := scatter.Normal95 * math.Abs(after.Common-before.Common); ok && left > 0 && change.HasInterval() {
		d := change.Value
		change.Low, change.High = d-math.Hypot(d-change.Low, left), d+math.Hypot(change.High-d, left)
	}
	return change, ok
}

// ownScatter is the standard uncertainty that the series itself gave a point:
// its readings, and its gaps between levels.
func ownScatter(p analyze.Point) (float64, bool) {
	sum, known := 0.0, false
	for _, s := range p.Shares {
		if s.Name == analyze.ShareReadings || s.Name == analyze.ShareBetween {
			sum += s.DB * s.DB
			known = true
		}
	}
	return math.Sqrt(sum), known && p.NoInterval == "" && p.OneSided == ""
}
