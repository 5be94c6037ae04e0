// Package unit knows RF levels, frequencies, voltages and decibels: how people
// write them and how they convert. It knows nothing else of the bench.
package unit

import (
	"math"
	"strconv"
)

// LevelKind says which voltage a generator level in microvolts means.
type LevelKind string

const (
	PD  LevelKind = "pd"  // across the 50 ohm load: potential difference
	EMF LevelKind = "emf" // open circuit: twice PD, 6.02 dB more
)

// Scale says what an RF level is counted from.
type Scale int

const (
	Absolute Scale = iota // DB is dBm into 50 ohm
	Relative              // DB is dB against an unstated reference
	Off                   // no signal; DB has no meaning
)

// Level is an RF level. Absolute levels are kept in dBm into 50 ohm.
type Level struct {
	Scale Scale
	DB    float64
}

// DBm is the absolute level of that many dBm into 50 ohm.
func DBm(dbm float64) Level { return Level{Absolute, dbm} }

// Add moves a level by dB: a pad of 10 dB is Add(-10). Off stays off.
func (l Level) Add(dB float64) Level {
	if l.Scale != Off {
		l.DB += dB
	}
	return l
}

// String writes the level exactly, in a form that ParseLevel reads back:
// "-119 dBm", "-3 dB" or "off". It is no form for reports, which say PD or EMF.
func (l Level) String() string {
	if l.Scale == Off {
		return "off"
	}
	text := strconv.FormatFloat(l.DB, 'f', -1, 64) + " dB"
	if l.Scale == Absolute {
		text += "m"
	}
	return text
}

// referenceOhms is the impedance at which RF levels stand.
const referenceOhms = 50

// dBmOfMicrovoltPD is 1 µV PD in dBm: its power across 50 ohm against 1 mW,
// 10 log10((1e-6)^2 / 50 / 1e-3) = -106.990 dBm.
var dBmOfMicrovoltPD = 10 * math.Log10(1e-12/referenceOhms*1000)

// emfOverPD is the open-circuit voltage over the voltage across a matched
// load, 20 log10(2) = 6.0206 dB.
var emfOverPD = 20 * math.Log10(2)

// DBmFromMicrovoltPD converts µV across a 50 ohm load to dBm:
// dBm = 20 log10(µV) - 106.990. Domain: above zero; zero gives -Inf.
func DBmFromMicrovoltPD(microvolt float64) float64 {
	return 20*math.Log10(microvolt) + dBmOfMicrovoltPD
}

// DBmFromMicrovoltEMF converts open-circuit µV of a 50 ohm source to dBm into
// a matched load: half of that voltage stands across the load.
func DBmFromMicrovoltEMF(microvolt float64) float64 {
	return DBmFromMicrovoltPD(microvolt / 2)
}

// MicrovoltPD converts dBm into 50 ohm to µV across that load.
func MicrovoltPD(dbm float64) float64 {
	return math.Pow(10, (dbm-dBmOfMicrovoltPD)/20)
}

// MicrovoltEMF converts dBm into a matched 50 ohm load to the open-circuit µV of the source.
func MicrovoltEMF(dbm float64) float64 { return 2 * MicrovoltPD(dbm) }

// DBMicrovoltPD converts dBm into 50 ohm to dB above 1 µV across that load.
func DBMicrovoltPD(dbm float64) float64 { return dbm - dBmOfMicrovoltPD }

// DBMicrovoltEMF converts dBm into 50 ohm to dB above 1 µV open circuit.
func DBMicrovoltEMF(dbm float64) float64 { return dbm - dBmOfMicrovoltPD + emfOverPD }

// DBmFromDBMicrovoltPD converts dB above 1 µV across 50 ohm to dBm.
func DBmFromDBMicrovoltPD(dBuV float64) float64 { return dBuV + dBmOfMicrovoltPD }

// DBmFromDBMicrovoltEMF converts dB above 1 µV open circuit to dBm into a matched load.
func DBmFromDBMicrovoltEMF(dBuV float64) float64 { return dBuV + dBmOfMicrovoltPD - emfOverPD }
