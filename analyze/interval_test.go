package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The largest and the least of several figures lie where each of them allows: one
// of a smaller value that is less sure still counts.
func TestExtremesKeepTheWidestEnds(t *testing.T) {
	sure, unsure := NewReading("x", "dB", 0.9, 0.85, 0.95), NewReading("x", "dB", 0.8, 0.3, 1.3)
	for _, pair := range [][2]Reading{{sure, unsure}, {unsure, sure}} {
		most, least := Highest(pair[0], pair[1]), Lowest(pair[0], pair[1])
		assert.Equal(t, [3]float64{0.9, 0.85, 1.3}, [3]float64{most.Value, most.Low, most.High})
		assert.Equal(t, [3]float64{0.8, 0.3, 0.95}, [3]float64{least.Value, least.Low, least.High})
		assert.Equal(t, pair[0], Highest(pair[0], None("x", "dB", "nothing")))
		assert.Equal(t, pair[0], Lowest(None("x", "dB", "nothing"), pair[0]))
	}
}
