package analyze

import (
	"math"

	"hisspoint/analyze/internal/scatter"
)

// With is the point with one more contribution to its interval: a standard
// uncertainty in dB, independent of the others. It adds to each side of the
// interval as root-sum-square, 1.96 times (GUM, 5.1.2). A point without an
// interval gets none by it, and neither does a side that is open.
func (p Point) With(name string, dB float64) Point {
	if p.Status != Found || !finite(dB) || dB <= 0 {
		return p
	}
	p.Shares = append(append([]Share(nil), p.Shares...), Share{name, dB})
	if p.NoInterval != "" {
		return p
	}
	more := scatter.Normal95 * dB
	if p.OneSided != "low" {
		p.Low = p.Level.DB - math.Hypot(p.Level.DB-p.Low, more)
	}
	if p.OneSided != "high" {
		p.High = p.Level.DB + math.Hypot(p.High-p.Level.DB, more)
	}
	return p
}

// WithHigh is the point with an effect in its interval that makes it read too high
// by nothing up to dB, and never too low. It is not corrected, and so added to the
// lower end as it is: as part of a root-sum-square the interval would lose the
// truth wherever the effect is there in full (GUM, F.2.4.5, from memory).
func (p Point) WithHigh(name string, dB float64) Point {
	if p.Status != Found || !finite(dB) || dB <= 0 {
		return p
	}
	p.ReadsHigh = append(append([]Share(nil), p.ReadsHigh...), Share{name, dB})
	if p.NoInterval == "" && p.OneSided != "low" {
		p.Low -= dB
	}
	return p
}

// highestOf is the larger of two readings of a kind as one figure: the largest is at
// least as large as each, so both ends of its interval are the larger ones. A reading
// without a value counts for nothing.
func highestOf(a, b Reading) Reading {
	switch {
	case !b.OK():
		return a
	case !a.OK():
		return b
	}
	most := a
	if b.Value > a.Value {
		most = b
	}
	if a.HasInterval() && b.HasInterval() {
		most.Low, most.High = math.Max(a.Low, b.Low), math.Max(a.High, b.High)
	}
	return most
}

// lowestOf is the smaller of two readings, as highestOf is the larger.
func lowestOf(a, b Reading) Reading {
	switch {
	case !b.OK():
		return a
	case !a.OK():
		return b
	}
	least := a
	if b.Value < a.Value {
		least = b
	}
	if a.HasInterval() && b.HasInterval() {
		least.Low, least.High = math.Min(a.Low, b.Low), math.Min(a.High, b.High)
	}
	return least
}
