package doc

import (
	"math"

	"hisspoint/capture/unit"
)

// µ is written as U+00B5 everywhere, and a voltage always says PD or EMF.

// voltScale picks the volts in which a level is shown: µV, from 1000 on mV.
func voltScale(microvolt float64) (factor float64, name string) {
	if math.Abs(microvolt) >= 999.5 {
		return 1e-3, "mV"
	}
	return 1, "\u00b5V"
}

// microvolt converts an absolute level in dBm to µV of the kind.
func microvolt(dbm float64, kind unit.LevelKind) float64 {
	if kind == unit.EMF {
		return unit.MicrovoltEMF(dbm)
	}
	return unit.MicrovoltPD(dbm)
}

func kindWord(kind unit.LevelKind) string {
	if kind == unit.EMF {
		return "EMF"
	}
	return "PD"
}

// SetLevel is a level that was set, in volts of the kind: "0.25 µV PD".
// Relative levels are in dB, and off is off.
func SetLevel(l unit.Level, kind unit.LevelKind) string {
	switch l.Scale {
	case unit.Off:
		return "off"
	case unit.Relative:
		return Significant(l.DB, 4) + " dB"
	}
	v := microvolt(l.DB, kind)
	f, name := voltScale(v)
	return Significant(v*f, 3) + " " + name + " " + kindWord(kind)
}

// pointText is a measured level and its interval: "0.31 µV PD (-117.2 dBm)"
// and "95 %: 0.27 to 0.35 µV". open names a side on which the interval is not
// closed.
func pointText(l unit.Level, low, high float64, open string, kind unit.LevelKind) (at, interval string) {
	if open == "high" || open == "low" { // only one side is known: it decides the digits
		low, high = mirrored(l.DB, low, high, open)
	}
	if l.Scale == unit.Relative {
		n := Between(l.DB, low, high, 2)
		return n.Value + " dB", closed(n, "dB", open)
	}
	v := microvolt(l.DB, kind)
	f, name := voltScale(v)
	volts := Between(v*f, microvolt(low, kind)*f, microvolt(high, kind)*f, 4)
	return volts.Value + " " + name + " " + kindWord(kind) + " (" + Between(l.DB, low, high, 2).Value + " dBm)", closed(volts, name, open)
}

// mirrored puts the known side of a one-sided interval on the other side too.
func mirrored(value, low, high float64, open string) (float64, float64) {
	if open == "low" {
		return 2*value - high, high
	}
	return low, 2*value - low
}

func closed(n Number, unitName, open string) string {
	switch open {
	case "low":
		return "95 %: up to " + n.High + " " + unitName
	case "high":
		return "95 %: from " + n.Low + " " + unitName
	}
	return "95 %: " + n.Low + " to " + n.High + " " + unitName
}
