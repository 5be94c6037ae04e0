package change

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// step is what the figures of a unit, or one figure, must change by to be called changed,
// and what connecting the set a second time adds. Common practice, no source; the
// half-widths are from memory of benches with screwed and with plugged leads.
type step struct {
	least    float64 // in the figure's unit; with share, of the value before
	share    bool
	again    float64 // half-width at 95 % of a second connection; 0: the ratio does not see it
	ofValue  bool    // again is a share of the value
	whyLeast string
}

// steps are those of units.
var steps = map[string]step{
	"dB":        {least: 1, whyLeast: "nobody hears less, and a lead that is moved does as much"},
	"dBFS":      {least: 0.5, again: 0.1, whyLeast: "a knob set back by eye is off by as much; plugs add 0.1 dB"},
	"dBm":       {least: 1, again: 0.3, whyLeast: "as a sensitivity: leads that are joined again add 0.3 dB of mismatch"},
	"%":         {least: 0.3, whyLeast: "nobody hears a third of a percent of distortion"},
	"V":         {least: 0.05, share: true, again: 0.01, ofValue: true, whyLeast: "half a decibel; plugs add 1 %"},
	"W":         {least: 0.1, share: true, again: 0.02, ofValue: true, whyLeast: "half a decibel; plugs add 1 % of the voltage"},
	"dB/octave": {least: 0.5, whyLeast: "1.7 dB from 300 to 3000 Hz, the least that sounds duller or thinner"},
	"dB/dB":     {least: 0.1, whyLeast: "an AGC that differs by less sounds the same"},
	"ms":        {least: 10, whyLeast: "nobody hears a hundredth of a second of tail"},
	"Hz":        {least: 0.02, share: true, again: 0.005, ofValue: true, whyLeast: "2 % of a deviation or of a corner, what a trimmer is set to"},
	"FS":        {least: 0.001, whyLeast: "an offset that small is the card's"},
	"":          {least: 1, whyLeast: "a count"},
}

// Reconnected is a change whose interval has what a second connection adds, as
// root-sum-square (GUM, 5.1.2). A sensitivity, whose change is in dB, is joined by RF
// leads. The value of the round before is that of before.
func Reconnected(c, before analyze.Reading) analyze.Reading {
	s := stepOf(c)
	h := s.again
	if s.ofValue {
		h *= math.Abs(before.Value)
	}
	if !c.HasInterval() || h == 0 {
		return c
	}
	c.Low, c.High = c.Value-math.Hypot(c.Value-c.Low, h), c.Value+math.Hypot(c.High-c.Value, h)
	return c
}

// Matters tells whether a change is beyond its interval and no smaller than the smallest
// step that matters for such a figure.
func Matters(c, before analyze.Reading) bool {
	s := stepOf(c)
	least := s.least
	if s.share {
		least *= math.Abs(before.Value)
	}
	return analyze.Significant(c) && math.Abs(c.Value) >= least
}

func stepOf(c analyze.Reading) step {
	if c.Name == job.QuantitySensitivity {
		return steps["dBm"]
	}
	if s, known := steps[c.Unit]; known {
		return s
	}
	return steps["dB"]
}
