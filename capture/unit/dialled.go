package unit

import (
	"strconv"
	"strings"
)

// A level as it was dialled is a text: "0.25 uV", "1 uV EMF", "-117 dBm" or "off". It
// keeps what a person typed, so that what was not said, PD or EMF, can be said later.

var unitNames = map[string]string{"dbm": "dBm", "dbuv": "dBuV", "db": "dB", "nv": "nV", "uv": "uV", "mv": "mV", "v": "V"}

// dialled is that text of what levelPattern found. A decimal comma becomes a point.
func dialled(m []string, kind LevelKind) string {
	number, written, suffix := strings.ReplaceAll(m[1], " ", ""), strings.ToLower(m[2]), strings.ToLower(strings.ReplaceAll(m[3], ".", ""))
	if written == "" {
		return "off"
	}
	if suffix != "" {
		kind = LevelKind(suffix)
	}
	number = strings.Replace(number, ",", ".", 1)
	if strings.HasPrefix(number, ".") {
		number = "0" + number
	}
	return WithKind(number+" "+unitNames[written], kind)
}

// WithKind is a level as dialled with PD or EMF behind it, where it needs one and says
// none. An empty kind adds nothing.
func WithKind(text string, kind LevelKind) string {
	if kind == "" || !NeedsKind(text) {
		return text
	}
	return text + " " + strings.ToUpper(string(kind))
}

// NeedsKind tells whether a level is in volts, or dB above 1 µV, and says neither PD
// nor EMF.
func NeedsKind(text string) bool {
	m := wholeLevel().FindStringSubmatch(strings.Join(strings.Fields(Plain(text)), " "))
	return m != nil && strings.HasSuffix(strings.ToLower(m[2]), "v") && m[3] == ""
}

// Spoken is a level as typed for people: with the micro sign, and with what its volts
// are, "as dialled" where nobody said.
func Spoken(text string, kind LevelKind) string {
	text = strings.TrimSpace(text)
	if NeedsKind(text) && kind == "" {
		return MicroSign(text) + " as dialled"
	}
	return MicroSign(WithKind(text, kind))
}

// DialledLevels is ParseLevels with each level as it was dialled.
func DialledLevels(s string) ([]string, error) {
	_, texts, err := listed(s, "")
	return texts, err
}

// DialledInFileName is LevelFromFileName with the level as it was dialled, with PD or
// EMF where the name says so.
func DialledInFileName(name string) (text string, ok bool, err error) {
	_, text, ok, err = inFileName(name, "")
	return text, ok, err
}

// Moved is a level as dialled, dB higher: by so much the dial goes up where a pad comes
// between. Volts are rounded to three digits. What is no absolute level stays.
func Moved(text string, dB float64) string {
	l, err := ParseLevel(text, PD)
	m := wholeLevel().FindStringSubmatch(strings.Join(strings.Fields(Plain(text)), " "))
	if err != nil || m == nil || l.Scale != Absolute || dB == 0 {
		return text
	}
	v, err := ParseNumber(strings.ReplaceAll(m[1], " ", ""))
	if err != nil {
		return text
	}
	written := unitNames[strings.ToLower(m[2])]
	number := strconv.FormatFloat(v*VoltageFromDB(dB), 'g', 3, 64)
	if strings.HasPrefix(written, "dB") {
		number = strconv.FormatFloat(v+dB, 'f', -1, 64)
	} else if r, err := strconv.ParseFloat(number, 64); err == nil {
		number = strconv.FormatFloat(r, 'f', -1, 64)
	}
	out := number + " " + written
	if m[3] != "" {
		out += " " + strings.ToUpper(strings.ReplaceAll(m[3], ".", ""))
	}
	return out
}
