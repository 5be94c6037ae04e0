package say

import (
	"regexp"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Bound is the side on which a limit holds.
func Bound(bound string) string {
	switch bound {
	case job.AtLeast:
		return "at least"
	case job.Within:
		return "within"
	}
	return "at most"
}

// typedFigure is a figure and its unit as a person writes them.
var typedFigure = regexp.MustCompile(`^([+-]?[0-9]*[.,]?[0-9]+) *(.*)$`)

// LimitFigure is a limit's figure as it was written, with a point for the
// decimal comma and a space before the unit; else it is made from the value.
func LimitFigure(l job.Limit) string {
	if m := typedFigure.FindStringSubmatch(l.Typed); m != nil {
		return strings.Replace(m[1], ",", ".", 1) + " " + unit.MicroSignInText(m[2])
	}
	switch {
	case l.Typed != "":
		return unit.MicroSignInText(l.Typed)
	case l.Unit == "dBm":
		return Level(unit.DBm(l.Value), unit.LevelKind(l.Conditions.Kind))
	}
	return Significant(l.Value, 4) + " " + l.Unit
}

// Limit is a limit's figure as it was typed; where the figure beside it is in
// another kind of volts, the same level in that kind; and that it is from memory.
func Limit(l job.Limit, kind unit.LevelKind) string {
	text := LimitFigure(l)
	if l.Unit == "dBm" && kind != "" {
		if same := Level(unit.DBm(l.Value), kind); !strings.Contains(text, "\u00b5V "+LevelKind(kind)) && same != text {
			text += " = " + same
		}
	}
	if l.Standing == job.Memory {
		text += " (from memory)"
	}
	return text
}

// Conditions says what a limit holds for, nothing if it asks for nothing.
func Conditions(c job.Conditions) string {
	var parts []string
	add := func(text string) { parts = append(parts, text) }
	if c.Criterion.Quantity != "" {
		add(c.Criterion.Label())
	}
	if c.Filter != "" {
		add("filter " + c.Filter)
	}
	if c.Mode != "" {
		add(strings.ToUpper(c.Mode))
	}
	if c.ToneHz != 0 {
		add("tone " + Hertz(c.ToneHz))
	}
	if c.Deviation != 0 {
		add("deviation " + Hertz(c.Deviation))
	}
	if c.Depth != 0 {
		add("modulation " + Significant(c.Depth, 3) + " %")
	}
	if c.Level != "" {
		add("at " + c.Level)
	}
	return strings.Join(parts, ", ")
}

// Hertz is a frequency that was set, from 1000 Hz on in kHz.
func Hertz(hz float64) string {
	if hz >= 1000 {
		return Significant(hz/1000, 5) + " kHz"
	}
	return Significant(hz, 5) + " Hz"
}

// Source is where a limit is from, with the clause.
func Source(l job.Limit) string {
	if l.Source == "" {
		return "none"
	}
	if l.Clause != "" {
		return l.Source + ", " + l.Clause
	}
	return l.Source
}

// Standing says how sure a figure is, so that nobody takes memory for the standard.
func Standing(s string) string {
	switch s {
	case job.Seen:
		return "seen: read in the document or in a regulator's text"
	case job.Secondary:
		return "secondary: read in another document that cites it"
	case job.Memory:
		return "memory: not checked against the document; check before relying on it"
	case job.CommonPractice:
		return "common practice of the trade, without a published source"
	case job.User:
		return "written by the user"
	}
	return s
}
