package service

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/reports"
)

// change is by how many dB less signal the second point does with than the
// first, nil unless both were found on one scale. Of the contributions to
// their intervals only the scatter of the readings is left: generator and pad
// were the same for both and cancel. The two scatters are independent, so
// they add as root-sum-square (GUM, 5.1.2).
func change(before, after analyze.Point) *reports.Change {
	if before.Status != analyze.Found || after.Status != analyze.Found || before.Level.Scale != after.Level.Scale {
		return nil
	}
	r := analyze.Reading{Name: "sensitivity", Unit: "dB", Value: before.Level.DB - after.Level.DB}
	a, okA := scatter(before)
	b, okB := scatter(after)
	if !okA || !okB {
		r.NoInterval = "a point has no interval"
		return &reports.Change{Sensitivity: r}
	}
	h := k95 * math.Hypot(a, b)
	r.Low, r.High = r.Value-h, r.Value+h
	return &reports.Change{Sensitivity: r}
}

// k95 covers 95 % of a normal distribution.
const k95 = 1.96

// scatter is the standard uncertainty that the readings gave a point.
func scatter(p analyze.Point) (float64, bool) {
	for _, s := range p.Shares {
		if s.Name == "readings" {
			return s.DB, p.NoInterval == "" && p.OneSided == ""
		}
	}
	return 0, false
}
