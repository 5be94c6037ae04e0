package unit

import (
	"fmt"
	"math"
	"strings"
)

// quantity says how one kind of quantity is written: its units (in the plain
// form) with their factors, the unit a bare number has, and an example.
type quantity struct {
	name    string
	factors map[string]float64
	bare    string
	example string
	signed  bool
	grouped string // units under which 1,000 could mean a thousand; elsewhere it is a decimal comma
}

var (
	frequency = quantity{name: "frequency", bare: "hz", example: "1 kHz or 1000", grouped: "hz khz",
		factors: map[string]float64{"hz": 1, "khz": 1e3, "mhz": 1e6, "ghz": 1e9}}
	volts = quantity{name: "voltage", bare: "v", example: "1.2 V or 300 mV (RMS)", grouped: "v mv uv",
		factors: map[string]float64{"v": 1, "mv": 1e-3, "uv": 1e-6, "vrms": 1, "mvrms": 1e-3, "uvrms": 1e-6, "kv": 1e3}}
	decibels = quantity{name: "figure", bare: "db", example: "-3 dB", signed: true,
		factors: map[string]float64{"db": 1}}
	percent = quantity{name: "share", bare: "%", example: "5 %", signed: true,
		factors: map[string]float64{"%": 1, "percent": 1}}
	resistance = quantity{name: "resistance", bare: "ohm", example: "8 ohm", grouped: "ohm",
		factors: map[string]float64{"ohm": 1, "ohms": 1, "kohm": 1e3}}
	seconds = quantity{name: "time", bare: "s", example: "5 s or 250 ms", signed: true, grouped: "ms",
		factors: map[string]float64{"s": 1, "sec": 1, "ms": 1e-3, "us": 1e-6, "min": 60}}
)

// ParseFrequency reads "1 kHz", "1,5kHz", "27.78125 MHz" or "1000" in Hz. The
// result is in Hz and above zero.
func ParseFrequency(s string) (float64, error) {
	v, err := frequency.parse(s)
	if err == nil && v <= 0 {
		err = frequency.refuse(s, "must be above zero")
	}
	return v, err
}

// ParseVolts reads an RMS voltage, "1.2 Vrms", "300 mV" or "1,2". Peak values
// are refused: every voltage here is RMS. The result is in volts, above zero.
func ParseVolts(s string) (float64, error) {
	t := strings.ToLower(strings.ReplaceAll(Plain(s), " ", ""))
	for _, peak := range []string{"vpp", "vp-p", "vp", "vpk", "vpeak"} {
		if strings.HasSuffix(t, peak) {
			return 0, volts.refuse(s, "is a peak value")
		}
	}
	v, err := volts.parse(s)
	if err == nil && v <= 0 {
		err = volts.refuse(s, "must be above zero")
	}
	return v, err
}

// ParseDB reads "-3 dB", "1,5dB" or "10". The result is in dB.
func ParseDB(s string) (float64, error) { return decibels.parse(s) }

// ParsePercent reads "5 %", "2,5%" or "5". The result is in percent.
func ParsePercent(s string) (float64, error) { return percent.parse(s) }

// ParseOhms reads "8 ohm", "8 Ω" or "8". The result is in ohms, above zero.
func ParseOhms(s string) (float64, error) {
	v, err := resistance.parse(s)
	if err == nil && v <= 0 {
		err = resistance.refuse(s, "must be above zero")
	}
	return v, err
}

// ParseSeconds reads "5 s", "250ms", "1 min" or "5". The result is in seconds.
func ParseSeconds(s string) (float64, error) { return seconds.parse(s) }

var quantityPattern = LazyPattern(`^([+-]?` + numberPattern + `)([a-z%]*)$`)

func (q quantity) parse(s string) (float64, error) {
	m := quantityPattern().FindStringSubmatch(strings.ToLower(strings.Join(strings.Fields(Plain(s)), "")))
	if m == nil {
		return 0, q.refuse(s, "is not understood")
	}
	written := m[2]
	if written == "" {
		written = q.bare
	}
	factor, ok := q.factors[written]
	if !ok {
		return 0, q.refuse(s, "has a unit that does not fit")
	}
	v, err := ParseNumber(m[1])
	if err != nil || math.Abs(v) > 1e12 {
		return 0, q.refuse(s, "is not understood")
	}
	if v < 0 && !q.signed {
		return 0, q.refuse(s, "must be above zero")
	}
	for _, u := range strings.Fields(q.grouped) {
		if u == written {
			if err := grouping(m[1]); err != nil {
				return 0, fmt.Errorf("%s %q: %w", q.name, clip(s), err)
			}
		}
	}
	return v * factor, nil
}

func (q quantity) refuse(s, what string) error {
	return &Misread{fmt.Sprintf("%s %q %s", q.name, clip(s), what), q.example}
}

var ambiguous = LazyPattern(`^[+-]? *([1-9][0-9]{0,2}),([0-9]{3})$`)

// grouping refuses a comma that can be read as a decimal comma or as a mark
// between thousands: the two differ by 60 dB.
func grouping(number string) error {
	if m := ambiguous().FindStringSubmatch(number); m != nil {
		return fmt.Errorf("%s,%s can mean %s%s or %s.%s: write one of these", m[1], m[2], m[1], m[2], m[1], m[2])
	}
	return nil
}
