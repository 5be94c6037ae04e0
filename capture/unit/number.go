package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// ParseNumber reads a plain number; a decimal comma is understood ("0,25").
// Inf, NaN, hexadecimal and grouping marks are refused.
func ParseNumber(s string) (float64, error) {
	t := strings.TrimSpace(s)
	if strings.Count(t, ",") == 1 && !strings.Contains(t, ".") {
		t = strings.Replace(t, ",", ".", 1)
	}
	if t == "" || strings.ContainsAny(t, "xXnNiI_pP") {
		return 0, fmt.Errorf("%q is not a number", s)
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, fmt.Errorf("%q is not a number", s)
	}
	return v, nil
}
