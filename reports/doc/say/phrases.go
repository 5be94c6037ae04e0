package say

import (
	"fmt"
	"strings"

	"hisspoint/reports"
)

// rounds are the rounds as people say them.
var rounds = map[string]string{reports.AsFound: "As found", reports.AsLeft: "As left"}

// Round is a round as people say it; what is no round is a side of a
// comparison, and goes by its own name.
func Round(name string) string {
	if title, is := rounds[name]; is {
		return title
	}
	return name
}

// LowerFirst begins with a small letter, as within a sentence.
func LowerFirst(s string) string {
	if s == "" {
		return s
	}
	return string(s[0]|0x20) + s[1:]
}

// Sentence begins with a capital and ends with a full stop.
func Sentence(s string) string {
	if s == "" {
		return ""
	}
	if 'a' <= s[0] && s[0] <= 'z' {
		s = string(s[0]-0x20) + s[1:]
	}
	if strings.HasSuffix(s, "?") {
		return s
	}
	return strings.TrimSuffix(s, ".") + "."
}

// DB is a figure in dB that was set.
func DB(v float64) string { return fmt.Sprintf("%s dB", Significant(v, 4)) }

// Joined is the texts that are not empty.
func Joined(sep string, texts ...string) string {
	var all []string
	for _, t := range texts {
		if t != "" {
			all = append(all, t)
		}
	}
	return strings.Join(all, sep)
}

// UpperFirst begins with a capital.
func UpperFirst(s string) string {
	if s != "" && 'a' <= s[0] && s[0] <= 'z' {
		return string(s[0]-0x20) + s[1:]
	}
	return s
}

// Plural is the word that goes with a number of things.
func Plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
