package job

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"hisspoint/capture/unit"
)

// Unstated says which condition of a limit a test leaves unstated, so that nobody
// can know whether it fits; empty: none.
func (c Conditions) Unstated(deviation, depth float64) string {
	switch {
	case c.Deviation != 0 && deviation == 0:
		return fmt.Sprintf("the limit holds for %s Hz of deviation, and the test does not state its own", short(c.Deviation))
	case c.Depth != 0 && depth == 0:
		return fmt.Sprintf("the limit holds for %s %% modulation, and the test does not state its own", short(c.Depth))
	}
	return ""
}

// Misfit says why a limit does not apply to a test, or "" if it does. What the test
// leaves unstated (mode, deviation, depth) is taken to fit: filter and criterion are
// always known. A test with a criterion finds its level, and has none of its own.
func (c Conditions) Misfit(s Setup) string {
	own := s.Criterion.Quantity != ""
	switch {
	case own && c.Criterion.Quantity != "" && (c.Criterion.Quantity != s.Criterion.Quantity || math.Abs(c.Criterion.Value-s.Criterion.Value) > 1e-9):
		return fmt.Sprintf("the limit is for %s, measured was %s", c.Criterion.Label(), s.Criterion.Label())
	case !own && c.Level != "" && s.LevelTyped == "":
		return fmt.Sprintf("the limit holds at %s, and the test does not state its level", c.Level)
	case c.elsewhere(s):
		return fmt.Sprintf("the limit holds at %s, measured was at %s", c.Level, s.LevelTyped)
	}
	return c.misfit(s.Reading, s.Mode, s.Deviation, s.Depth)
}

// elsewhere tells whether a limit is one of another test: it holds at a level that
// is not that of this one.
func (c Conditions) elsewhere(s Setup) bool {
	at := s.Level
	at.DB -= s.Path.PadDB
	return c.Level != "" && s.LevelTyped != "" && !c.AtLevel(at)
}

// sameLevelDB is by how much the level of a test may differ from that at which a
// limit holds: half of what a generator's level is usually known to.
const sameLevelDB = 0.5

// AtLevel tells whether a limit holds at a level at the set: any, if it states none.
// Levels that are not in volts or dBm are not compared.
func (c Conditions) AtLevel(l unit.Level) bool {
	if c.Level == "" {
		return true
	}
	want, err := unit.ParseLevel(c.Level, unit.PD)
	return err != nil || want.Scale != unit.Absolute || l.Scale == unit.Absolute && math.Abs(want.DB-l.DB) <= sameLevelDB
}

func (c Conditions) misfit(how Reading, mode string, deviation, depth float64) string {
	filter := how.Filter.String()
	switch {
	case c.Filter != "" && c.Filter != filter:
		return fmt.Sprintf("the limit is for the filter %s, measured was with %s", c.Filter, filter)
	case c.Mode != "" && mode != "" && c.Mode != mode:
		return fmt.Sprintf("the limit is for mode %s, the set was measured in %s", c.Mode, mode)
	case Differs(c.ToneHz, how.Tone()):
		return fmt.Sprintf("the limit is for a tone of %s Hz, measured was %s Hz", short(c.ToneHz), short(how.Tone()))
	case Differs(c.Deviation, deviation):
		return fmt.Sprintf("the limit is for %s Hz of deviation, measured was with %s Hz", short(c.Deviation), short(deviation))
	case Differs(c.Depth, depth):
		return fmt.Sprintf("the limit is for %s %% modulation, measured was with %s %%", short(c.Depth), short(depth))
	}
	return ""
}

// Differs tells whether two stated figures are more than 5 % apart, which is
// what generators are set to. 0 is not stated, and fits.
func Differs(want, got float64) bool {
	return want != 0 && got != 0 && math.Abs(got-want) > 0.05*want
}

func short(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

// Pick chooses the limits that one quantity of a test is judged by: those typed
// beside the test, or else for each side (at most, at least) the first in the
// order of the profiles whose conditions fit, or the first that there is (its
// verdict will say why it does not apply). A sensitivity has one verdict, and so one
// limit of either side.
func (s Setup) Pick(quantity string, profiles []Profile) []Limit {
	var own []Limit
	for _, l := range s.Limits {
		if l.Quantity == quantity {
			own = append(own, l)
		}
	}
	if own != nil {
		return own
	}
	kind, _ := KindOf(s.Kind)
	chosen := map[string]Limit{}
	for _, p := range profiles {
		for _, l := range p.Limits {
			if l.Quantity != quantity || !l.Belongs(kind) || l.Conditions.elsewhere(s) {
				continue
			}
			side := l.Bound
			if quantity == QuantitySensitivity {
				side = AtMost
			}
			if old, has := chosen[side]; !has || old.Conditions.Misfit(s) != "" && l.Conditions.Misfit(s) == "" {
				chosen[side] = l
			}
		}
	}
	for _, bound := range []string{AtMost, AtLeast} {
		if l, has := chosen[bound]; has {
			own = append(own, l)
		}
	}
	return own
}

// Belongs tells whether a limit is one of the half of the set that a kind tests: the
// transmitter's if it says so, or if no receive test has such a figure.
func (l Limit) Belongs(k Kind) bool {
	received := slices.ContainsFunc(kinds, func(o Kind) bool { return !o.Transmit && slices.Contains(o.Limits, l.Quantity) })
	return (l.Of == Transmitter || !received) == k.Transmit
}
