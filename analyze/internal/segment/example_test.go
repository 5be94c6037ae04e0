package segment_test

import (
	"fmt"
	"math"

	"hisspoint/analyze/internal/segment"
)

// Blocks described by one feature, a level in dB, that was turned twice; a knock
// of five blocks is no stretch.
func ExampleFind() {
	var x [][]float64
	for i := range 120 {
		level := -20.0
		switch {
		case i >= 80:
			level = -26
		case i >= 40:
			level = -23
		}
		if i >= 60 && i < 65 {
			level = 0
		}
		x = append(x, []float64{level + 0.3*math.Sin(float64(7*i*i))})
	}
	cut, _ := segment.Find(x, segment.Options{Most: 10, Min: 20, Floor: []float64{0.02}, Least: []float64{0.25}})
	for i, s := range cut.Stretches {
		middle, _ := segment.Middle(x, s, 0)
		fmt.Printf("%d to %d: %.0f dB\n", s.From, s.To, middle)
		if i < len(cut.Borders) {
			fmt.Println("  sure:", cut.Borders[i].Errors > segment.DefaultSure)
		}
	}
	// Output:
	// 0 to 39: -20 dB
	//   sure: true
	// 41 to 79: -23 dB
	//   sure: true
	// 81 to 120: -26 dB
}
