package job

import (
	"errors"
	"fmt"
	"strings"

	"hisspoint/capture/unit"
)

// Limit is a bound on a reading or point.
type Limit struct {
	Name       string  // what is bounded, for people: "12 dB SINAD sensitivity"
	Quantity   string  // "sensitivity", "thd", ...
	Bound      string  // AtMost or AtLeast
	Value      float64 // in Unit
	Unit       string  // "dBm", "%", "dB", ...
	Typed      string  // as a person wrote it: "0.5 µV PD"
	Source     string  // where it is published, with clause
	Clause     string  // clause of the source; empty: none, or part of Source
	Standing   string  // one of Standings, or User
	Note       string  // what else a person should know of the figure
	Of         string  // Transmitter, or empty: the receiver, or whatever the quantity belongs to
	Profile    string  // which profile it came from; empty: written beside the test
	Conditions Conditions
}

// Bounds of a limit. A value on the limit itself is inside it.
const (
	AtMost  = "max"
	AtLeast = "min"
	Within  = "within" // of a mask, which bounds both sides and depends on the frequency
)

// Transmitter says that a limit is one of the transmitter. It matters for
// quantities that both halves of a set have, such as distortion.
const Transmitter = "transmitter"

// How sure a published figure is.
const (
	Seen           = "seen"            // read in the document or in a regulator's text
	Secondary      = "secondary"       // read in another document that cites it
	Memory         = "memory"          // from memory: never shown as the standard's own
	CommonPractice = "common practice" // of the trade, without a published source
	User           = "user"            // written by the user
)

// Standings lists what a profile may say of a figure.
var Standings = []string{Seen, Secondary, Memory, CommonPractice, User}

// Conditions that must fit for a limit to apply. Empty fields ask for nothing.
type Conditions struct {
	Criterion Criterion
	Filter    string
	Mode      string  // fm, am, ssb
	Kind      string  // pd or emf, how the limit was written
	ToneHz    float64 // of the standard modulation
	Deviation float64 // of the standard modulation, Hz
	Depth     float64 // of amplitude modulation, percent
	Level     string  // RF level at which the figure holds, as written: see AtLevel
}

// Profile is a set of limits for one service.
type Profile struct {
	Name   string // "fm-land-mobile-12k5"
	Title  string // for people
	File   string // where it was read from, as the job names it; empty: built in
	Limits []Limit
}

// bounded says how limits of one figure are written.
type bounded struct {
	name    string // for people
	unit    string
	bound   string // the side on which a bare figure bounds it
	parse   func(string) (float64, error)
	example string
}

func parseMilliseconds(s string) (float64, error) {
	v, err := unit.ParseSeconds(s)
	return v * 1000, err
}

func parseWatts(s string) (float64, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	factor := 1.0
	if m, ok := strings.CutSuffix(t, "mw"); ok {
		t, factor = m, 1e-3
	} else {
		t = strings.TrimSuffix(t, "w")
	}
	v, err := unit.ParseNumber(t)
	if err != nil || v <= 0 {
		return 0, &unit.Misread{Why: fmt.Sprintf("power %q is not understood", s), Like: "2 W or 500 mW"}
	}
	return v * factor, nil
}

// boundWords are the ways in which people say on which side a limit lies, in
// front of the figure or behind it. Longer ones come first.
var boundWords = []struct{ word, bound string }{
	{"not more than", AtMost}, {"not less than", AtLeast}, {"at most", AtMost}, {"at least", AtLeast}, {"maximum", AtMost}, {"minimum", AtLeast},
	{"max.", AtMost}, {"min.", AtLeast}, {"max", AtMost}, {"min", AtLeast}, {"<=", AtMost}, {">=", AtLeast}, {"≤", AtMost}, {"≥", AtLeast}, {"<", AtMost}, {">", AtLeast},
}

// ParseLimit reads a limit as a user types it beside a test of one quantity:
// "0.5 uV PD, service manual", "0.5uV", "5 %", "at most 5 %", "40 dB min".
// What follows the first comma that is not a decimal comma is the source. kind
// says what volts without PD or EMF mean. Standing is User. A bare figure
// bounds the side that is usual for the quantity: sensitivity and distortion
// at most, signal to noise at least.
func ParseLimit(text, quantity string, kind unit.LevelKind) (Limit, error) {
	f, _ := FigureOf(quantity)
	q := f.Limit
	if q == nil {
		return Limit{}, fmt.Errorf("limit of %q is not known: use one of %s", quantity, strings.Join(BoundedQuantities(), ", "))
	}
	figure, source := splitSource(strings.TrimSpace(text))
	l := Limit{Name: q.name, Quantity: quantity, Bound: q.bound, Unit: q.unit, Source: source, Standing: User}
	figure, bound := splitBound(figure)
	if bound != "" {
		l.Bound = bound
	}
	if figure == "" {
		return Limit{}, fmt.Errorf("the limit has no figure: write it like %q or \"%s, service manual\"", q.example, q.example)
	}
	var err error
	if quantity == QuantitySensitivity {
		err = l.setLevel(figure, kind)
	} else {
		l.Value, err = q.parse(figure)
		err = likeLimit(err, q.example)
		l.Typed = withUnit(figure, q.unit)
	}
	if err != nil {
		return Limit{}, fmt.Errorf("limit: %w", err)
	}
	return l, nil
}

// likeLimit says of a figure that was not understood how a limit is written, in the
// place of what its kind of figure would look like elsewhere.
func likeLimit(err error, example string) error {
	var m *unit.Misread
	if !errors.As(err, &m) {
		return err
	}
	return &unit.Misread{Why: m.Why, Like: example}
}

// deafest is the highest level, in dBm, that is taken for a sensitivity limit:
// 1 mV PD. A higher one is a slip of the unit.
const deafest = -46.9

// setLevel takes an RF level as the limit's value. What people see of it
// always says PD or EMF where it is in volts.
func (l *Limit) setLevel(figure string, kind unit.LevelKind) error {
	level, err := unit.ParseLevel(figure, kind)
	if err != nil {
		return likeLimit(err, "0.5 uV PD or -113 dBm")
	}
	if level.Scale != unit.Absolute {
		return fmt.Errorf("%q is no absolute level: write it like 0.5 uV PD or -113 dBm", figure)
	}
	if level.DB > deafest {
		return fmt.Errorf("%q is far above any receiver's sensitivity: write it like 0.5 uV PD or -113 dBm", figure)
	}
	l.Value, l.Typed = level.DB, unit.MicroSign(figure)
	lower := strings.ToLower(strings.ReplaceAll(figure, ".", ""))
	switch {
	case strings.HasSuffix(lower, "dbm"):
		return nil
	case strings.HasSuffix(lower, "emf"):
		l.Conditions.Kind = string(unit.EMF)
		return nil
	case strings.HasSuffix(lower, "pd"):
		l.Conditions.Kind = string(unit.PD)
		return nil
	}
	if kind == "" {
		kind = unit.PD
	}
	l.Conditions.Kind = string(kind)
	l.Typed += " " + strings.ToUpper(string(kind))
	return nil
}

// withUnit adds the unit to a figure that was written without one.
func withUnit(figure, u string) string {
	if digitAt(figure, len(figure)-1) {
		return figure + " " + u
	}
	return figure
}

func splitSource(s string) (figure, source string) {
	for i := range s {
		if s[i] == ';' || s[i] == ',' && !digitAt(s, i+1) {
			return strings.TrimSpace(s[:i]), strings.TrimSpace(s[i+1:])
		}
	}
	return s, ""
}

func digitAt(s string, i int) bool { return i < len(s) && s[i] >= '0' && s[i] <= '9' }

func splitBound(s string) (figure, bound string) {
	lower := strings.ToLower(s)
	if len(lower) != len(s) { // some capitals change their length; none of them belongs here
		return s, ""
	}
	for _, w := range boundWords {
		if strings.HasPrefix(lower, w.word) {
			return strings.TrimSpace(s[len(w.word):]), w.bound
		}
		if strings.HasSuffix(lower, w.word) {
			return strings.TrimSpace(s[:len(s)-len(w.word)]), w.bound
		}
	}
	return s, ""
}
