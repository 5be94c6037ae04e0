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
	S9IARU = "50 uV PD"  // IARU Region 1 recommendation R.1, below 30 MHz: -73 dBm
	S9CB   = "100 uV PD" // many 27 MHz service sheets; common practice, no source
)

var (
	levelWords = regexp.MustCompile(`(?i)(pd|emf|dbm|dbuv|[^a-z]uv|[^a-z]nv)$`)
	figureText = regexp.MustCompile(`^([-+]?[0-9]+(?:[.,][0-9]+)?(?:[eE][-+]?[0-9]+)?) *([a-zA-Z%]*)$`)
	sUnits     = regexp.MustCompile(`(?i)^s ?9$`)
	meterUnits = []string{"ohm", "Hz", "dB", "V", "A", "W", "s"}
	prefixes   = map[string]float64{"": 1, "u": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6, "G": 1e9}
)

// ParseFigure reads a meter reading or its limit: "13.2 V", "1,2 A", "4 W",
// "27.78125 MHz", "60 uV PD", "-73 dBm", "5 %", "S9". RF levels become dBm;
// kind says what µV without PD or EMF mean, s9 at which level S9 lies (empty:
// S9IARU).
func ParseFigure(text string, kind unit.LevelKind, s9 string) (Figure, error) {
	t := unit.Plain(strings.TrimSpace(text))
	if sUnits.MatchString(t) {
		if t = unit.Plain(s9); t == "" {
			t = S9IARU
		}
	}
	if levelWords.MatchString(t) {
		l, err := unit.ParseLevel(t, kind)
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
