package job

import (
	"fmt"
	"math"
	"strconv"
)

// Misfit says why a sensitivity limit does not apply to a test, or "" if it
// does. What the test leaves unstated (mode, deviation, depth) is taken to fit:
// the criterion and the filter are always known.
func (c Conditions) Misfit(t Sensitivity) string {
	got := t.Criterion
	if got.Quantity == "" {
		got = Criterion{QuantitySINAD, 12, "dB"}
	}
	filter := t.Reading.Filter.String()
	switch {
	case c.Criterion.Quantity != "" && (c.Criterion.Quantity != got.Quantity || math.Abs(c.Criterion.Value-got.Value) > 1e-9):
		return fmt.Sprintf("the limit is for %s, measured was %s", c.Criterion.Label(), got.Label())
	case c.Filter != "" && c.Filter != filter:
		return fmt.Sprintf("the limit is for the filter %s, measured was with %s", c.Filter, filter)
	case c.Mode != "" && t.Mode != "" && c.Mode != t.Mode:
		return fmt.Sprintf("the limit is for mode %s, the set was measured in %s", c.Mode, t.Mode)
	case differs(c.ToneHz, t.Reading.Tone()):
		return fmt.Sprintf("the limit is for a tone of %s Hz, measured was %s Hz", short(c.ToneHz), short(t.Reading.Tone()))
	case differs(c.Deviation, t.Deviation):
		return fmt.Sprintf("the limit is for %s Hz of deviation, measured was with %s Hz", short(c.Deviation), short(t.Deviation))
	case differs(c.Depth, t.Depth):
		return fmt.Sprintf("the limit is for %s %% modulation, measured was with %s %%", short(c.Depth), short(t.Depth))
	}
	return ""
}

// differs tells whether two stated figures are more than 5 % apart, which is
// what generators are set to. 0 is not stated, and fits.
func differs(want, got float64) bool {
	return want != 0 && got != 0 && math.Abs(got-want) > 0.05*want
}

func short(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

// PickSensitivity chooses the limit that a sensitivity test is judged by: the
// first in the order of the profiles whose conditions fit, else the first that
// there is (its verdict will say why it does not apply), else nil.
func PickSensitivity(t Sensitivity, profiles []Profile) *Limit {
	var first *Limit
	for _, p := range profiles {
		for _, l := range p.Limits {
			if l.Quantity != QuantitySensitivity {
				continue
			}
			if l.Conditions.Misfit(t) == "" {
				return &l
			}
			if first == nil {
				first = &l
			}
		}
	}
	return first
}
