package say

import (
	"strings"
	"unicode"
)

// Clean makes a text that somebody typed fit to be shown: invalid UTF-8 and
// control characters become U+FFFD, line ends and tabs spaces. All else stays as
// it was typed.
func Clean(s string) string {
	s = strings.ToValidUTF8(s, "\ufffd")
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t' || r == '\u2028' || r == '\u2029':
			return ' '
		case unicode.IsControl(r) || r&0xfffe == 0xfffe || 0xfdd0 <= r && r <= 0xfdef:
			return '\ufffd'
		}
		return r
	}, s)
}

// CleanLines is Clean on each line of a text that may have several.
func CleanLines(s string) []string {
	var lines []string
	for _, l := range strings.FieldsFunc(strings.ReplaceAll(s, "\r\n", "\n"), func(r rune) bool { return r == '\n' || r == '\r' }) {
		if l = strings.TrimSpace(Clean(l)); l != "" {
			lines = append(lines, l)
		}
	}
	return lines
}
