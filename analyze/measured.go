package analyze

import (
	"math"

	"hisspoint/capture"
	"hisspoint/capture/job"
)

// HarmonicsApart sums even and odd harmonics apart, in percent.
func HarmonicsApart(hs []Harmonic) (even, odd float64) {
	for _, h := range hs {
		if h.Order%2 == 0 {
			even += h.Percent * h.Percent
		} else {
			odd += h.Percent * h.Percent
		}
	}
	return math.Sqrt(even), math.Sqrt(odd)
}

// DBFS is a mean square in dB against a sine whose peaks touch full scale (AES17).
func DBFS(meanSquare float64) float64 { return 10 * math.Log10(2*meanSquare) }

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
	HumOrTone      float64 // Hz of a line that may be hum or a tone; 0: none
	HumOrToneDBFS  float64 // its level
	HumHasIt       bool    // it counts as hum, or in what hum is at most
	ToneOnMains    float64 // Hz of the mains multiple on which the tone or a harmonic of it stands; 0: none
	SubAudibleTone float64 // Hz of a line below the band that is no mains line; 0: none
	SubAudibleDBFS float64 // its level
	Misreads       string  // TooHigh, TooLow or EitherWay: what noise suppression did to SINAD; empty: nothing told
	Coded          string  // by which way but a cable the sound came, as soundness has it; empty: nothing told
	Warnings       []capture.Warning
	Kept           Kept
}

// Ways in which SINAD, and with it all that is read of noise, may be wrong.
const (
	TooHigh = "too high"
	TooLow  = "too low"
	// EitherWay is sound that was coded, and that a suppressor may have worked on before.
	EitherWay = "either way"
)

// Get returns the reading of that name; one that was not taken says so.
func (m Measured) Get(name string) Reading {
	for _, r := range m.Readings {
		if r.Name == name {
			return r
		}
	}
	return Reading{Name: name, Why: WhyNotRead}
}
