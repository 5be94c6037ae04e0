package job

import (
	"fmt"
	"math"
	"strings"

	"hisspoint/capture/unit"
)

// ParseAt reads a place on an axis other than level, as a person writes it:
// a tone "400 Hz" and an offset "-2 kHz" in Hz; an input "10 mV" in dB above
// 1 mV RMS, or "-20 dB" as it is; a volume as any text, whose place is its
// number if it is one ("3", "1/2", "75 %") and 0 if it is not.
func ParseAt(axis, text string) (float64, error) {
	t := strings.TrimSpace(text)
	switch axis {
	case AxisTone:
		return unit.ParseFrequency(t)
	case AxisOffset:
		sign := 1.0
		switch {
		case strings.HasPrefix(t, "-"), strings.HasPrefix(t, "\u2212"):
			sign = -1
		}
		t = strings.TrimLeft(t, "+-\u2212 ")
		if strings.Trim(strings.TrimSuffix(strings.ToLower(t), "hz"), "0., ") == "" && t != "" {
			return 0, nil
		}
		hz, err := unit.ParseFrequency(t)
		if err != nil {
			return 0, fmt.Errorf("offset %q is not understood: write it like -2 kHz or 500 Hz", text)
		}
		return sign * hz, nil
	case AxisInput:
		return parseInput(t)
	case AxisVolume:
		return volumePlace(t), nil
	}
	return 0, fmt.Errorf("axis %q has no places of its own", axis)
}

func parseInput(t string) (float64, error) {
	if InputIsRelative(t) {
		return unit.ParseDB(t)
	}
	v, err := unit.ParseVolts(t)
	if err != nil || !strings.HasSuffix(strings.ToLower(t), "v") { // a bare number may be either
		return 0, fmt.Errorf("input %q is not understood: write it like 10 mV (RMS) or -20 dB", t)
	}
	return 20 * math.Log10(v*1000), nil
}

// InputIsRelative tells whether an input was written in dB instead of volts.
func InputIsRelative(text string) bool {
	return strings.HasSuffix(strings.ToLower(strings.TrimSpace(text)), "db")
}

func volumePlace(t string) float64 {
	t = strings.TrimSpace(strings.TrimSuffix(t, "%"))
	if a, b, ok := strings.Cut(t, "/"); ok {
		x, errX := unit.ParseNumber(strings.TrimSpace(a))
		y, errY := unit.ParseNumber(strings.TrimSpace(b))
		if errX == nil && errY == nil && y != 0 {
			return x / y
		}
		return 0
	}
	v, err := unit.ParseNumber(t)
	if err != nil {
		return 0
	}
	return v
}
