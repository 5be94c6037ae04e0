package analyze

import (
	"math"

	"hisspoint/analyze/internal/scatter"
	"hisspoint/capture"
	"hisspoint/capture/unit"
)

// Status of a point.
const (
	Found         = "found"
	BelowRange    = "below-range"    // every reading meets the criterion
	AboveRange    = "above-range"    // none does
	Multiple      = "multiple"       // the series crosses more than once, beyond its scatter
	TooFew        = "too-few"        // fewer than two levels
	StepsMismatch = "steps-mismatch" // plateaus found do not fit the list of levels

	ChannelUnstated = string(capture.ChannelUnstated) // two channels hold a tone, and nobody said which is the set's
)

// Share is one contribution to a point's interval: its standard uncertainty in
// dB. The interval is +-1.96 times the root of the summed squares.
type Share struct {
	Name string // ShareReadings, ShareBetween, "generator", "pad"
	DB   float64
}

// Shares that come from the series itself.
const (
	ShareReadings = "readings"       // scatter of the readings
	ShareBetween  = "between_levels" // how the set may run between the levels recorded
)

// Point is where a series crosses a criterion.
type Point struct {
	Status     string
	Why        string     // for people, if there is no point
	Level      unit.Level // value; for below-range and above-range the level it lies beyond
	Low, High  float64    // 95 % interval on the same scale as Level.DB
	OneSided   string     // non-empty: the interval could not be closed on that side ("low", "high")
	NoInterval string     // value but no interval, and why, for people
	Slope      float64    // of the series at the point, dB a dB
	Shares     []Share
	ReadsHigh  []Share  // dB by which the point reads too high at most, in that direction only; added to its lower end as it is
	NotStated  []string // contributions that nobody stated and so count as 0
}

// Figure is a point as a figure of a test: in dBm, or in dB where the levels are
// relative. What is known of the level itself is Common.
func (p Point) Figure(name string) Reading {
	u := "dBm"
	if p.Level.Scale == unit.Relative {
		u = "dB"
	}
	switch {
	case p.Status != Found:
		return None(name, u, Why(p.Why))
	case p.NoInterval != "":
		return Exact(name, u, p.Level.DB, p.NoInterval)
	}
	r := NewReading(name, u, p.Level.DB, p.Low, p.High)
	for _, s := range p.Shares {
		if s.Name != ShareReadings && s.Name != ShareBetween {
			r.Common = math.Hypot(r.Common, s.DB)
		}
	}
	return r
}

// With is the point with one more contribution to its interval: a standard
// uncertainty in dB, independent of the others. It adds to each side of the
// interval as root-sum-square, 1.96 times (GUM, 5.1.2). A point without an
// interval gets none by it, and neither does a side that is open.
func (p Point) With(name string, dB float64) Point {
	if p.Status != Found || !Finite(dB) || dB <= 0 {
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
	if p.Status != Found || !Finite(dB) || dB <= 0 {
		return p
	}
	p.ReadsHigh = append(append([]Share(nil), p.ReadsHigh...), Share{name, dB})
	if p.NoInterval == "" && p.OneSided != "low" {
		p.Low -= dB
	}
	return p
}
