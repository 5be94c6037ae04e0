package unit

import (
	"fmt"
	"math"
	"strings"
)

// Levels outside of these bounds are slips of the pen: below lies 100 dB under
// the thermal noise of any receiver, above no signal generator reaches.
const (
	lowestDBm  = -200
	highestDBm = 60
	mostDB     = 200 // of a relative level, either way
)

// The parts of a written level, after plain has brought it into one form.
const (
	numberPattern = `(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?:e[+-]?[0-9]+)?`
	levelPattern  = `([+-]? *` + numberPattern + `) *(dbm|dbuv|db|nv|uv|mv|v)(?: *(p\.?d\b\.?|e\.?m\.?f\b\.?))?`
)

var (
	wholeLevel   = LazyPattern(`(?i)^(?:off|` + levelPattern + `)$`)
	leadingLevel = LazyPattern(`(?i)^(?:off|` + levelPattern + `)`)
	bareNumber   = LazyPattern(`(?i)^[+-]? *` + numberPattern + `$`)
)

const levelsLike = "0.25uV, 1 mV EMF, -119dBm, 6 dBuV, -3dB or off"

// Misread is the error of a text that is no figure: what is wrong with it, and how one
// is written.
type Misread struct{ Why, Like string }

func (m *Misread) Error() string { return m.Why + ": write it like " + m.Like }

// ParseLevel reads an RF level as people type it: "0.25uV", "0,25 µV", "1 mV",
// "250nV", "1uVemf", "0.5 uV PD", "-119dBm", "6 dBuV EMF", "-3dB" or "off".
// µ may be U+00B5, U+03BC or u. kind says what volts without PD or EMF mean
// (empty: PD). Volts of zero or less and levels outside -200 to +60 dBm are
// refused, in one line that says what to write.
func ParseLevel(s string, kind LevelKind) (Level, error) {
	t := strings.Join(strings.Fields(Plain(s)), " ")
	m := wholeLevel().FindStringSubmatch(t)
	switch {
	case m != nil:
		return levelOf(s, m, kind)
	case t == "":
		return Level{}, &Misread{"the level is empty", levelsLike}
	case bareNumber().MatchString(t):
		return Level{}, &Misread{fmt.Sprintf("level %q has no unit", clip(s)), levelsLike}
	}
	return Level{}, &Misread{fmt.Sprintf("level %q is not understood", clip(s)), levelsLike}
}

// ParseLevels reads a list of levels separated by spaces, semicolons or commas.
// A comma between two digits is a decimal comma: "1,5uV, 0,5 uV" are two levels.
func ParseLevels(s string, kind LevelKind) ([]Level, error) {
	levels, _, err := listed(s, kind)
	return levels, err
}

// listed are the levels of a list, and as they were dialled.
func listed(s string, kind LevelKind) (levels []Level, texts []string, err error) {
	const separators = " ;,"
	rest := strings.Trim(strings.Join(strings.Fields(Plain(s)), " "), separators)
	for rest != "" {
		m := leadingLevel().FindStringSubmatch(rest)
		if m == nil || len(m[0]) < len(rest) && !strings.Contains(separators, rest[len(m[0]):len(m[0])+1]) {
			return nil, nil, listError(rest, len(levels)+1)
		}
		l, err := levelOf(m[0], m, kind)
		if err != nil {
			return nil, nil, err
		}
		levels, texts = append(levels, l), append(texts, dialled(m, ""))
		rest = strings.TrimLeft(rest[len(m[0]):], separators)
	}
	if levels == nil {
		return nil, nil, fmt.Errorf("the list of levels is empty: write it like \"2uV 1uV 0.5uV\"")
	}
	return levels, texts, nil
}

func listError(rest string, nth int) error {
	token := strings.FieldsFunc(rest, func(r rune) bool { return r == ' ' || r == ';' })[0]
	what := "is not understood"
	if bareNumber().MatchString(strings.TrimRight(token, ",")) {
		what = "has no unit"
	}
	return fmt.Errorf("level %d of the list, %q, %s: write each with its unit, like \"2uV 1uV 0.5uV\" or \"-117dBm; -119dBm\"", nth, clip(token), what)
}

// levelOf makes a level of what levelPattern found; typed is for messages.
func levelOf(typed string, m []string, kind LevelKind) (Level, error) {
	number, written, suffix := m[1], strings.ToLower(m[2]), strings.ToLower(strings.ReplaceAll(m[3], ".", ""))
	if written == "" {
		return Level{Scale: Off}, nil
	}
	if suffix != "" {
		kind = LevelKind(suffix)
	}
	v, err := ParseNumber(strings.ReplaceAll(number, " ", ""))
	if err != nil {
		return Level{}, &Misread{fmt.Sprintf("level %q is not understood", clip(typed)), levelsLike}
	}
	switch written {
	case "db", "dbm":
		if suffix != "" {
			return Level{}, fmt.Errorf("level %q: PD and EMF go with volts, not with %s: leave %s out", clip(typed), dBName(written), strings.ToUpper(suffix))
		}
		if written == "db" {
			return relative(typed, v)
		}
		return absolute(typed, v)
	case "dbuv":
		if kind == EMF {
			return absolute(typed, DBmFromDBMicrovoltEMF(v))
		}
		return absolute(typed, DBmFromDBMicrovoltPD(v))
	}
	if v <= 0 {
		return Level{}, fmt.Errorf("level %q: volts must be above zero: write off for no signal, or a level in dBm", clip(typed))
	}
	if err := grouping(number); err != nil {
		return Level{}, fmt.Errorf("level %q: %w", clip(typed), err)
	}
	uv := v * map[string]float64{"nv": 1e-3, "uv": 1, "mv": 1e3, "v": 1e6}[written]
	if kind == EMF {
		return absolute(typed, DBmFromMicrovoltEMF(uv))
	}
	return absolute(typed, DBmFromMicrovoltPD(uv))
}

func absolute(typed string, dbm float64) (Level, error) {
	if !(dbm >= lowestDBm && dbm <= highestDBm) {
		return Level{}, fmt.Errorf("level %q is %.4g dBm, outside %d to +%d dBm: check the number and its unit", clip(typed), clampForText(dbm), lowestDBm, highestDBm)
	}
	return Level{Absolute, dbm}, nil
}

func relative(typed string, dB float64) (Level, error) {
	if math.Abs(dB) > mostDB {
		return Level{}, fmt.Errorf("level %q is outside -%d to +%d dB: check the number and its unit", clip(typed), mostDB, mostDB)
	}
	return Level{Relative, dB}, nil
}

func clampForText(dbm float64) float64 { return max(-9999, min(9999, dbm)) }

func dBName(written string) string {
	if written == "dbm" {
		return "dBm"
	}
	return "dB"
}

// clip keeps a message on one short line whatever was typed.
func clip(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}
