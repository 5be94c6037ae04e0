package service

import (
	"path/filepath"
	"strings"
)

// Natural tells whether a file name comes before another as people order them:
// numbers by their value, so that "(10)" comes after "(2)".
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
			continue
		}
		if a[0] != b[0] {
			return a[0] < b[0]
		}
		a, b = a[1:], b[1:]
	}
	return len(a) < len(b)
}

func digits(s string) string { return s[:len(s)-len(strings.TrimLeft(s, "0123456789"))] }
