// Package say puts figures, levels, limits and verdicts into words. Numbers become text
// here and nowhere else; the interval of a figure decides how many of its digits are
// shown. It does not know which document its words stand in.
package say

import (
	"math"
	"strconv"
	"strings"

	"hisspoint/analyze"
)

// Brief is a reading in a few words.
func Brief(r analyze.Reading) string {
	switch {
	case r.Bounded:
		return AtMost(r)
	case r.Unreached:
		return AtLeast(r)
	}
	if !r.OK() {
		return "not given: " + Why(r.Why)
	}
	n := Reading(r)
	text := n.Value + " " + r.Unit
	if n.PlusMinus != "" {
		text = n.Value + " ±" + n.PlusMinus + " " + r.Unit
	} else if s := n.Spread(); s != "" {
		text += " (" + s + ")"
	}
	return text
}

// Number is a figure and its interval as text, all to the same digit.
type Number struct {
	Value     string
	Low, High string // both empty: no interval; one: nothing is known on that side
	PlusMinus string // half-width, where the interval lies evenly around the value; else empty
}

// Spread is the interval in the shorter of its two forms: "±0.21" or "11.9 to
// 12.6"; empty without an interval.
func (n Number) Spread() string {
	switch {
	case n.Low == "" && n.High == "":
		return ""
	case n.High == "":
		return "at least " + n.Low
	case n.Low == "":
		return "at most " + n.High
	case n.PlusMinus != "":
		return "±" + n.PlusMinus
	}
	return n.Low + " to " + n.High
}

// Bare is a value without an interval to so many decimals; fewer than 0 round
// to tens, hundreds ...
func Bare(value float64, decimals int) Number { return Number{Value: Fixed(value, decimals)} }

// Significant is a value without an interval to so many significant digits,
// without trailing zeros. It is for figures that were set, not measured.
func Significant(value float64, digits int) string {
	if value == 0 {
		return "0"
	}
	text := Fixed(value, digits-1-exponent(value, digits))
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// Between is a value with its interval. The half-width decides the digits: it
// is shown with two if its first three lie between 100 and 354, with one from
// 355 to 949, above that it is rounded up to 1.0 (the rounding rule of the
// Particle Data Group, Review of Particle Physics, Introduction, section 5.3).
// most caps the decimals; an interval narrower than the last digit so shown is
// widened to one of it.
func Between(value, low, high float64, most int) Number {
	half := threeDigits((high - low) / 2)
	d := most
	if half > 0 {
		d = min(most, Decimals(half))
	}
	n := Number{Value: Fixed(value, d), Low: Fixed(low, d), High: Fixed(high, d)}
	step := math.Pow(10, float64(-d))
	if math.Abs((high-value)-(value-low)) < step && value-low > -step && high-value > -step {
		n.PlusMinus = Fixed(math.Max(half, step), d)
	}
	return n
}

// threeDigits brings a half-width to the three digits that the rule looks at, and
// those from 950 on up to the next power of ten.
func threeDigits(half float64) float64 {
	v, _ := strconv.ParseFloat(strconv.FormatFloat(half, 'e', 2, 64), 64)
	if v > 0 {
		if ten := math.Pow(10, float64(exponent(v, 3)+1)); v >= 0.9499999*ten {
			return ten
		}
	}
	return v
}

// Decimals is how many decimals a half-width allows, by the first three of its digits.
func Decimals(half float64) int {
	half = threeDigits(half)
	e := exponent(half, 3)
	if first3 := math.Round(half * math.Pow(10, float64(2-e))); first3 < 355 {
		return 1 - e
	}
	return -e
}

// exponent is the power of ten of the first digit, after rounding to digits.
func exponent(v float64, digits int) int {
	text := strconv.FormatFloat(v, 'e', digits-1, 64)
	e, _ := strconv.Atoi(text[strings.IndexByte(text, 'e')+1:])
	return e
}

// Rounded is a value to so many significant digits.
func Rounded(value float64, digits int) float64 {
	v, err := strconv.ParseFloat(strconv.FormatFloat(value, 'e', digits-1, 64), 64)
	if err != nil {
		return value
	}
	return v
}

// Fixed writes a value to a number of decimals, below zero to tens, hundreds
// and so on. Nothing is ever shown as -0.
func Fixed(v float64, decimals int) string {
	if decimals < 0 {
		p := math.Pow(10, float64(-decimals))
		v, decimals = math.Round(v/p)*p, 0
	}
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return text
}

// digits says how far readings of one unit are ever shown, and how far a value
// is shown that has no interval.
var digits = map[string]struct{ most, bare int }{
	"dB": {2, 1}, "dBFS": {2, 1}, "dBm": {2, 1}, "Hz": {3, 1}, "%": {3, 2}, "V": {6, 3}, "W": {6, 3},
	"dB/octave": {2, 1}, "dB/oct": {2, 1}, "dB/dB": {2, 1}, "ms": {1, 1}, "": {1, 0},
}

// Reading is the text of a reading that has a value, in its own unit.
func Reading(r analyze.Reading) Number {
	d, ok := digits[r.Unit]
	if !ok {
		d.most, d.bare = 4, 3
	}
	if !r.HasInterval() {
		return Bare(r.Value, d.bare)
	}
	switch r.OneSided {
	case "high": // the open end says nothing, and must not decide the digits
		n := Between(r.Value, r.Low, 2*r.Value-r.Low, d.most)
		return Number{Value: n.Value, Low: n.Low}
	case "low":
		n := Between(r.Value, 2*r.Value-r.High, r.High, d.most)
		return Number{Value: n.Value, High: n.High}
	}
	return Between(r.Value, r.Low, r.High, d.most)
}

// AtLeast is the bound of a reading that was not reached, rounded down to three digits.
func AtLeast(r analyze.Reading) string {
	digits := 2 - exponent(r.Low, 3)
	step := math.Pow(10, float64(-digits))
	return "not reached, at least " + Fixed(math.Floor(r.Low/step*(1+1e-12))*step, max(digits, 0)) + " " + r.Unit
}

// AtMost is the bound of a reading without a value, rounded up.
func AtMost(r analyze.Reading) string {
	return "at most " + Fixed(math.Ceil(10*r.High)/10, 1) + " " + r.Unit
}
