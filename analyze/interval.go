package analyze

import (
	"math"

	"hisspoint/analyze/internal/scatter"
)

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
		return Exact(after.Name, differenceUnit(after.Unit), d, "a figure has no interval"), true
	}
	low := math.Hypot(after.Value-after.Low, before.High-before.Value)
	high := math.Hypot(after.High-after.Value, before.Value-before.Low)
	return NewReading(after.Name, differenceUnit(after.Unit), d, d-low, d+high), true
}

// Alone is a reading without what it shares with others.
func (r Reading) Alone() Reading {
	if !r.HasInterval() || r.Common == 0 {
		return r
	}
	common := scatter.Normal95 * r.Common
	side := func(d float64) float64 { return math.Sqrt(math.Max(0, d*d-common*common)) }
	r.Low, r.High, r.Common = r.Value-side(r.Value-r.Low), r.Value+side(r.High-r.Value), 0
	return r
}

// Sharing is a reading with a standard uncertainty in its interval that a second
// round shares; each side grows by it as root-sum-square (GUM, 5.1.2).
func (r Reading) Sharing(standard float64) Reading {
	if !r.HasInterval() || standard <= 0 || !Finite(standard) {
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

// Over tells whether a reading surely lies above a bound.
func Over(r Reading, bound float64) bool {
	if !r.OK() {
		return false
	}
	if r.HasInterval() {
		return r.Low > bound
	}
	return r.Value > bound
}

// Under tells whether a reading surely lies below a bound.
func Under(r Reading, bound float64) bool {
	if !r.OK() {
		return false
	}
	if r.HasInterval() {
		return r.High < bound
	}
	return r.Value < bound
}

// StandardError is that of a reading whose 95 % interval is known.
func StandardError(r Reading) float64 { return (r.High - r.Low) / 2 / scatter.Normal95 }

// Below is by how many dB reading b lies below reading a: their intervals are
// independent and add as root-sum-square, each side by itself (GUM, 5.1.2).
func Below(name string, a, b Reading) Reading {
	switch {
	case !a.OK():
		return None(name, "dB", a.Why)
	case !b.OK():
		return None(name, "dB", b.Why)
	}
	d := a.Value - b.Value
	switch {
	case !a.HasInterval():
		return Exact(name, "dB", d, a.NoInterval)
	case !b.HasInterval():
		return Exact(name, "dB", d, b.NoInterval)
	}
	return NewReading(name, "dB", d, d-math.Hypot(a.Value-a.Low, b.High-b.Value), d+math.Hypot(a.High-a.Value, b.Value-b.Low))
}

// Highest is the larger of two readings of a kind as one figure: the largest is at
// least as large as each, so both ends of its interval are the larger ones. A reading
// without a value counts for nothing.
func Highest(a, b Reading) Reading {
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

// Lowest is the smaller of two readings, as highestOf is the larger.
func Lowest(a, b Reading) Reading {
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
