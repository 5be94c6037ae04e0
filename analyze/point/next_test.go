package point

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Curves of SINAD against level as sets have them: 1 dB a dB where the signal is
// strong, up to 3 near an FM threshold, no tone below (DEVELOPERS.md, "What was
// claimed"; testdata/reference/fm_sinad_vs_cnr_wide.csv has the shape).
func TestNextLevelClosesInOnTheCriterion(t *testing.T) {
	for _, point := range []float64{-125, -118.3, -107, -90} {
		for _, steep := range []float64{1, 1.6, 3} {
			sinad := func(level float64) (float64, bool) {
				d := level - point
				v := 12 + math.Min(steep*d, 6+d)
				return math.Min(v, 40), v > 1
			}
			var got []Reached
			level, done := NextLevel(nil, -107+6)
			for !done && len(got) < 15 {
				v, tone := sinad(level)
				got = append(got, Reached{level, v - 12, !tone})
				level, done = NextLevel(got, 0)
			}
			assert.True(t, done, "point %g, slope %g: %v", point, steep, got)
			assert.LessOrEqual(t, len(got), 10, "point %g, slope %g: %v", point, steep, got)
			above, below := 0, 0
			seen := map[float64]bool{}
			for _, r := range got {
				assert.False(t, seen[r.LevelDB], "%g twice in %v", r.LevelDB, got)
				seen[r.LevelDB] = true
				assert.InDelta(t, 0, math.Mod(r.LevelDB, gridDB), 1e-9)
				if d := r.LevelDB - point; d >= 0 && d <= 2*nearDB {
					above++
				} else if d < 0 && d >= -2*nearDB {
					below++
				}
			}
			assert.GreaterOrEqual(t, above, 2)
			assert.GreaterOrEqual(t, below, 1)
		}
	}
}

func TestNextLevelBegins(t *testing.T) {
	level, done := NextLevel(nil, -97.26)
	assert.Equal(t, -97.5, level)
	assert.False(t, done)
	level, _ = NextLevel([]Reached{{-97.5, 20, false}}, 0)
	assert.Less(t, level, -105.0, "far above the criterion it goes far down")
	level, _ = NextLevel([]Reached{{-120, 0, true}}, 0)
	assert.Equal(t, -114.0, level, "without a tone it goes up")
}
