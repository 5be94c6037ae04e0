// Package analyze is what a measurement says: readings with their 95 % interval, what
// one recording told, what a test gave. Its rooms compute them; it computes nothing,
// and no NaN or Inf leaves it.
package analyze

import (
	"math"
)

// Reading is one measured quantity: a value with its unit and 95 % interval,
// or the reason why there is none.
//
// If Why is set there is no value. If it is not, Value holds; Low and High hold
// its 95 % interval unless NoInterval says why there is none. With Bounded there is no
// value, but the quantity is at most High; with Unreached it is at least Low. Either way
// no field is ever NaN or Inf.
type Reading struct {
	Name, Unit string
	Value      float64
	Low, High  float64
	Why        Why    // no value, and why; empty: there is one
	NoInterval string // value but no interval, and why, for people
	// OneSided names the side on which nothing is known beyond the interval: "high" of
	// a figure that is "at least" what it reads, "low" of one that is "at most".
	OneSided  string
	Bounded   bool // no value, but High, which it does not pass
	Unreached bool // no value, but Low: nothing reached what would have given one
	// Common is the part of the interval that a second round on the same bench
	// shares, and that cancels in the difference of both: of the generator's level or
	// deviation and of the pad, as a standard uncertainty in Unit. 0: none.
	Common float64
}

// OK tells whether the reading has a value.
func (r Reading) OK() bool { return r.Why == "" }

// HasInterval tells whether the reading has a value and an interval.
func (r Reading) HasInterval() bool { return r.Why == "" && r.NoInterval == "" }

// Names of the readings of one recording, in the order in which they are shown.
const (
	Level         = "level"          // RMS, dBFS, unfiltered
	ToneFrequency = "tone_frequency" // Hz
	ToneDrift     = "tone_drift"     // Hz/s, slope of the straight line through the tone's frequency
	ToneLevel     = "tone_level"     // RMS of the fitted tone, dBFS, unfiltered
	SINAD         = "sinad"          // dB, filtered
	THD           = "thd"            // percent of the fundamental, unfiltered
	THDN          = "thd_n"          // percent, filtered
	SNR           = "snr"            // tone to noise, dB, filtered
	NoiseLevel    = "noise_level"    // dBFS, filtered
	HumLevel      = "hum_level"      // dBFS, unfiltered
	HumFrequency  = "hum_frequency"  // Hz, the mains frequency whose family stands out
	BuzzLevel     = "buzz_level"     // dBFS, unfiltered: the mains family above the hum, to 3400 Hz
	DCOffset      = "dc_offset"      // share of full scale
	Peak          = "peak"           // largest sample, dBFS (sine whose peaks touch full scale = 0)
	LevelVolts    = "level_volts"    // V RMS, only with calibration
	Power         = "power"          // W into the stated load, only with calibration and load
)

// NewReading makes a Reading of a value, and refuses what is no number.
func NewReading(name, unit string, value, low, high float64) Reading {
	r := Reading{Name: name, Unit: unit, Value: value, Low: low, High: high}
	if !Finite(value) {
		return None(name, unit, "no number")
	}
	if !Finite(low) || !Finite(high) || low > high {
		r.Low, r.High, r.NoInterval = 0, 0, "the recording gives no interval"
	}
	return r
}

// Exact makes a Reading that has a value but by its nature no interval.
func Exact(name, unit string, value float64, why string) Reading {
	r := NewReading(name, unit, value, value, value)
	if r.OK() {
		r.Low, r.High, r.NoInterval = 0, 0, why
	}
	return r
}

// None makes a Reading without a value.
func None(name, unit string, why Why) Reading { return Reading{Name: name, Unit: unit, Why: why} }

// AtMost makes a Reading without a value that has an upper bound.
func AtMost(name, unit string, high float64, why Why) Reading {
	if !Finite(high) {
		return None(name, unit, why)
	}
	return Reading{Name: name, Unit: unit, High: high, Why: why, Bounded: true}
}

// AtLeast makes a Reading without a value that has a lower bound: what would have given
// the value was not reached.
func AtLeast(name, unit string, low float64, why Why) Reading {
	if !Finite(low) {
		return None(name, unit, why)
	}
	return Reading{Name: name, Unit: unit, Low: low, Why: why, Unreached: true}
}

// Finite tells whether a number is one.
func Finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
