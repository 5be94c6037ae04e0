package job

import (
	"fmt"
	"regexp"
	"strings"

	"hisspoint/capture/unit"
)

// Figure is a value with its unit: "dBm", "V", "A", "W", "Hz", "ohm", "%",
// "dB", "s", or none for a bare number.
type Figure struct {
	Value float64
	Unit  string
}

// Conventions for the level at which an S-meter shall read S9.
const (
	S9IARU    = "50 uV PD"  // IARU Region 1 recommendation R.1, below 30 MHz: -73 dBm
	S9IARUVHF = "5 uV PD"   // the same, above 30 MHz: -93 dBm
	S9CB      = "100 uV PD" // many 27 MHz service sheets; common practice, no source
)

// s9BandMHz is where the band begins in which S9 lies 20 dB lower (IARU Region 1
// recommendation R.1).
const s9BandMHz = 30

// S9Level is the level at which S9 lies in the round: as stated, else by the frequency
// (IARU Region 1 recommendation R.1); empty: neither is stated.
func (c RoundConditions) S9Level() string {
	switch {
	case c.S9 != "":
		return c.S9
	case c.RFMHz == nil:
		return ""
	case *c.RFMHz < s9BandMHz:
		return S9IARU
	}
	return S9IARUVHF
}

var (
	levelWords = regexp.MustCompile(`(?i)(pd|emf|dbm|dbuv|[^a-z]uv|[^a-z]nv)$`)
	figureText = regexp.MustCompile(`^([-+]?[0-9]+(?:[.,][0-9]+)?(?:[eE][-+]?[0-9]+)?) *([a-zA-Z%]*)$`)
	sUnits     = regexp.MustCompile(`(?i)^s ?9$`)
	meterUnits = []string{"ohm", "Hz", "dB", "V", "A", "W", "s"}
	prefixes   = map[string]float64{"": 1, "u": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6, "G": 1e9}
)

// SaysS9 is a figure with the level at which S9 lies behind it, where it is S9.
func (c RoundConditions) SaysS9(figure string) string {
	if level := c.S9Level(); level != "" && sUnits.MatchString(unit.Plain(strings.TrimSpace(figure))) {
		return figure + " (" + level + ")"
	}
	return figure
}

// ParseFigure reads a meter reading or its limit: "13.2 V", "1,2 A", "4 W",
// "27.78125 MHz", "60 uV PD", "-73 dBm", "5 %", "S9". RF levels become dBm;
// the conditions of its round say what µV without PD or EMF mean and at which level S9 lies.
func ParseFigure(text string, c RoundConditions) (Figure, error) {
	t := unit.Plain(strings.TrimSpace(text))
	if sUnits.MatchString(t) {
		if t = unit.Plain(c.S9Level()); t == "" {
			return Figure{}, fmt.Errorf("%q lies at 50 \u00b5V PD below 30 MHz and at 5 \u00b5V PD above: state the frequency first, hisspoint job set rf_mhz 27.78", text)
		}
	}
	if levelWords.MatchString(t) {
		l, err := unit.ParseLevel(t, c.LevelKind)
		if err != nil {
			return Figure{}, err
		}
		return Figure{l.DB, "dBm"}, nil
	}
	m := figureText.FindStringSubmatch(t)
	if m == nil {
		return Figure{}, fmt.Errorf("%q is no figure with a unit: write it like 13.2 V, 1.2 A, 4 W or 60 uV PD", text)
	}
	v, err := unit.ParseNumber(m[1])
	if err != nil {
		return Figure{}, err
	}
	if strings.EqualFold(m[2], "dBc") { // below the carrier
		return Figure{v, "dB"}, nil
	}
	if m[2] == "ppm" {
		return Figure{v / 1e4, "%"}, nil
	}
	if m[2] == "" || m[2] == "%" {
		return Figure{v, m[2]}, nil
	}
	for _, u := range meterUnits {
		if !strings.HasSuffix(strings.ToLower(m[2]), strings.ToLower(u)) {
			continue
		}
		if factor, ok := prefixes[m[2][:len(m[2])-len(u)]]; ok {
			return Figure{v * factor, u}, nil
		}
	}
	return Figure{}, fmt.Errorf("%q has an unknown unit: use V, A, W, Hz, ohm, s, dB, %%, ppm, dBm, or uV with PD or EMF", text)
}

// SplitBound takes the words that say on which side a limit lies off a figure:
// "at most 2 kHz" is "2 kHz" and AtMost. Without such words bound is empty.
func SplitBound(text string) (figure, source, bound string) {
	figure, source = splitSource(strings.TrimSpace(text))
	figure, bound = splitBound(figure)
	return figure, source, bound
}
