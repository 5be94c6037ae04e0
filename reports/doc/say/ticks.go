package say

import "math"

// Tick is a figure at an axis; along audio frequencies thousands are a k.
func Tick(v float64, thousands bool) string {
	if thousands && v >= 1000 {
		return Significant(v/1000, 6) + " k"
	}
	return Significant(v, 6)
}

// LogTicks are the round values of an axis of ratios from low to high: 1, 2, 3
// and 5 times the powers of ten, or only 1 and 3, or 1, as far as there is room
// for most of them.
func LogTicks(low, high float64, most int) []float64 {
	var all []float64
	for _, steps := range [][]float64{{1, 2, 3, 5}, {1, 3}, {1}} {
		all = nil
		for ten := math.Pow(10, math.Floor(math.Log10(low))); ten <= high; ten *= 10 {
			for _, s := range steps {
				if v := s * ten; v >= low*(1-1e-9) && v <= high*(1+1e-9) {
					all = append(all, v)
				}
			}
		}
		if len(all) <= most {
			break
		}
	}
	return all
}
