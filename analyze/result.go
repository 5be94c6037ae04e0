// Package analyze turns recordings into readings, readings into series and
// series into points, each with its 95 % interval. It knows nothing of files,
// clocks or printing, and no NaN or Inf leaves it.
package analyze

import (
	"math"

	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Reading is one measured quantity: a value with its unit and 95 % interval,
// or the reason why there is none.
//
// If Why is set there is no value. If it is not, Value holds; Low and High hold
// its 95 % interval unless NoInterval says why there is none. Either way no
// field is ever NaN or Inf.
type Reading struct {
	Name, Unit string
	Value      float64
	Low, High  float64
	Why        string // no value, and why: a warning code such as "tone-missing", or a short phrase
	NoInterval string // value but no interval, and why, for people
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
	ToneLevel     = "tone_level"     // RMS of the fitted tone, dBFS, unfiltered
	SINAD         = "sinad"          // dB, filtered
	THD           = "thd"            // percent of the fundamental, unfiltered
	THDN          = "thd_n"          // percent, filtered
	SNR           = "snr"            // tone to noise, dB, filtered
	NoiseLevel    = "noise_level"    // dBFS, filtered
	HumLevel      = "hum_level"      // dBFS, unfiltered
	HumFrequency  = "hum_frequency"  // Hz, the mains frequency whose family stands out
	DCOffset      = "dc_offset"      // share of full scale
	Peak          = "peak"           // largest sample, dBFS (sine whose peaks touch full scale = 0)
	LevelVolts    = "level_volts"    // V RMS, only with calibration
	Power         = "power"          // W into the stated load, only with calibration and load
)

// Harmonic is one harmonic of the tone, in percent of the fundamental.
type Harmonic struct {
	Order   int
	Percent float64
}

// HumLine is one line of the mains family.
type HumLine struct {
	FrequencyHz float64
	LevelDBFS   float64
}

// Measured is what one recording told.
type Measured struct {
	Origin         capture.Origin
	Rate           int
	Frames         int64 // in the whole file
	From, To       float64
	Filter         job.Filter
	Readings       []Reading
	Harmonics      []Harmonic
	HumLines       []HumLine
	OtherTone      float64 // Hz of a clear tone elsewhere than expected; 0: none
	ToneOnMains    float64 // Hz of the mains multiple on which the tone or a harmonic of it stands; 0: none
	SubAudibleTone float64 // Hz of a line below the band that is no mains line; 0: none
	SubAudibleDBFS float64 // its level
	Warnings       []capture.Warning
	Kept           Kept
}

// Get returns the reading of that name; one that was not taken says so.
func (m Measured) Get(name string) Reading {
	for _, r := range m.Readings {
		if r.Name == name {
			return r
		}
	}
	return Reading{Name: name, Why: "not measured"}
}

// Row is one place on a series' axis with what was measured there.
type Row struct {
	Level    unit.Level // at the set, pad and cable taken off
	Take     job.Take   // as it was asked for
	Measured Measured
	Worth    Reading // the quantity the criterion speaks of, at this row
}

// Series are rows along one axis, weakest signal first.
type Series struct {
	Axis string // "level"
	Unit string // "dBm" or "dB"
	Rows []Row
}

// Status of a point.
const (
	Found         = "found"
	BelowRange    = "below-range"    // every reading meets the criterion
	AboveRange    = "above-range"    // none does
	Multiple      = "multiple"       // the series crosses more than once, beyond its scatter
	TooFew        = "too-few"        // fewer than two levels
	StepsMismatch = "steps-mismatch" // plateaus found do not fit the list of levels
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

// SensitivityResult is the result of a sensitivity test.
type SensitivityResult struct {
	Test     job.Sensitivity
	Series   Series
	Hiss     *Row // the row with the generator off, for quieting
	Point    Point
	Plateaus []Row // only for StepsMismatch: what was found, in time; which level each was is not known
	Warnings []capture.Warning
}

// reading makes a Reading of a value, and refuses what is no number.
func reading(name, unit string, value, low, high float64) Reading {
	r := Reading{Name: name, Unit: unit, Value: value, Low: low, High: high}
	if !finite(value) {
		return none(name, unit, "no number")
	}
	if !finite(low) || !finite(high) || low > high {
		r.Low, r.High, r.NoInterval = 0, 0, "the recording gives no interval"
	}
	return r
}

// exact makes a Reading that has a value but by its nature no interval.
func exact(name, unit string, value float64, why string) Reading {
	r := reading(name, unit, value, value, value)
	if r.OK() {
		r.Low, r.High, r.NoInterval = 0, 0, why
	}
	return r
}

// none makes a Reading without a value.
func none(name, unit, why string) Reading { return Reading{Name: name, Unit: unit, Why: why} }

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
