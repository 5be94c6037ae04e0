package say

import (
	"strings"

	"hisspoint/capture/doors/print"
)

// Clean makes a text that somebody typed fit to be shown.
func Clean(s string) string { return print.Text(s) }

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
