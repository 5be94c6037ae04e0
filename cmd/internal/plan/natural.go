package plan

import (
	"path/filepath"
	"strings"
)

// Natural tells whether a file name comes before another as people order them:
// numbers by their value, so that "(10)" comes after "(2)", and decimals after a
// point by theirs, so that "0.56uV" comes before "0.7uV".
func Natural(a, b string) bool {
	a, b = filepath.ToSlash(a), filepath.ToSlash(b)
	for a != "" && b != "" {
		x, y := digits(a), digits(b)
		if x != "" && y != "" {
			p, q := strings.TrimLeft(x, "0"), strings.TrimLeft(y, "0")
			if len(p) != len(q) {
				return len(p) < len(q)
			}
			if p != q {
				return p < q
			}
			a, b = a[len(x):], b[len(y):]
			if f, g := decimals(a), decimals(b); f != g {
				return f < g
			}
			continue
		}
		if a[0] != b[0] {
			return a[0] < b[0]
		}
		a, b = a[1:], b[1:]
	}
	return len(a) < len(b)
}

// decimals are those behind a decimal point or comma, without zeros that say nothing.
func decimals(s string) string {
	if s == "" || s[0] != '.' && s[0] != ',' {
		return ""
	}
	return strings.TrimRight(digits(s[1:]), "0")
}

func digits(s string) string { return s[:len(s)-len(strings.TrimLeft(s, "0123456789"))] }
