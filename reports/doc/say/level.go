package say

import (
	"math"
	"strings"

	"hisspoint/analyze"
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

// Microvolt converts an absolute level in dBm to µV of the kind.
func Microvolt(dbm float64, kind unit.LevelKind) float64 {
	if kind == unit.EMF {
		return unit.MicrovoltEMF(dbm)
	}
	return unit.MicrovoltPD(dbm)
}

// LevelKind is how volts are stated: PD, across the load, or EMF.
func LevelKind(kind unit.LevelKind) string {
	if kind == unit.EMF {
		return "EMF"
	}
	return "PD"
}

// Level is a level that was set, in volts of the kind: "0.25 µV PD".
// Relative levels are in dB, and off is off.
func Level(l unit.Level, kind unit.LevelKind) string {
	switch l.Scale {
	case unit.Off:
		return "off"
	case unit.Relative:
		return Significant(l.DB, 4) + " dB"
	}
	v := Microvolt(l.DB, kind)
	f, name := voltScale(v)
	return Significant(v*f, 3) + " " + name + " " + LevelKind(kind)
}

// Point is a measured level and its interval: "0.31 µV PD (-117.2 dBm),
// 95 %: 0.27 to 0.35 µV".
func Point(p analyze.Point, kind unit.LevelKind) string {
	if p.OneSided != "" {
		return openPoint(p, kind)
	}
	if p.NoInterval != "" {
		if p.Level.Scale == unit.Relative {
			return Fixed(p.Level.DB, 1) + " dB, no interval"
		}
		v := Microvolt(p.Level.DB, kind)
		f, name := voltScale(v)
		return Significant(v*f, 2) + " " + name + " " + LevelKind(kind) + " (" + Fixed(p.Level.DB, 1) + " dBm), no interval"
	}
	dbm := Between(p.Level.DB, p.Low, p.High, 2)
	if p.Level.Scale == unit.Relative {
		return dbm.Value + " dB, " + interval95(dbm, "dB")
	}
	v := Microvolt(p.Level.DB, kind)
	f, name := voltScale(v)
	volts := Between(v*f, Microvolt(p.Low, kind)*f, Microvolt(p.High, kind)*f, 4)
	return volts.Value + " " + name + " " + LevelKind(kind) + " (" + dbm.Value + " dBm), " + interval95(volts, name)
}

// openPoint is a point whose interval is closed on one side only. That side
// decides the digits, as if the other were as far away.
func openPoint(p analyze.Point, kind unit.LevelKind) string {
	far := p.High
	if p.OneSided == "high" {
		far = 2*p.Level.DB - p.Low
	}
	p.Low, p.High = 2*p.Level.DB-far, far
	open := p.OneSided
	p.OneSided = ""
	text := Point(p, kind)
	head, interval, ok := strings.Cut(text, "95 %: ")
	low, high, split := strings.Cut(interval, " to ")
	if !ok || !split {
		return text
	}
	if open == "low" {
		return head + "95 %: up to " + high
	}
	_, unitName, _ := strings.Cut(high, " ")
	return head + "95 %: from " + low + " " + unitName
}

func interval95(n Number, unitName string) string {
	return "95 %: " + n.Low + " to " + n.High + " " + unitName
}
