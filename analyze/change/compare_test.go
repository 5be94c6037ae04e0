package change

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/unit"
)

// GUM 5.1.2: independent contributions add as root-sum-square. Of readings 0.3 and
// 0.4, generators 1 and 1, pad 0.2 in one of them: 1.96 sqrt(0.09+0.16+2+0.04) =
// 2.966; with one generator 1.96 sqrt(0.29) = 1.0555.
func TestChangeBetween(t *testing.T) {
	point := func(dbm, readings, pad float64) analyze.Point {
		return analyze.Point{Status: analyze.Found, Level: unit.DBm(dbm), Low: dbm - 2, High: dbm + 2, Shares: []analyze.Share{{Name: analyze.ShareReadings, DB: readings}, {Name: "generator", DB: 1}, {Name: "pad", DB: pad}}}
	}
	for same, half := range map[bool]float64{false: 2.966, true: 1.0555} {
		c, ok := Between(point(-107, 0.3, 0), point(-117, 0.4, 0.2), same)
		require.True(t, ok)
		assert.InDelta(t, 10, c.Value, 1e-12)
		assert.InDelta(t, 10-half, c.Low, 1e-3)
		assert.InDelta(t, 10+half, c.High, 1e-3)
	}
	_, ok := Between(analyze.Point{Status: analyze.AboveRange}, point(-117, 0.4, 0), true)
	assert.False(t, ok)
}

// 1, 2, 3: mean 2, s = 1, t(2; 0.975) = 4.3027 (tables of Student's t), times
// sqrt(4/3): 4.9683.
func TestSpreadOf(t *testing.T) {
	s := SpreadOf([]float64{1, 2, 3}, 7.1)
	assert.Equal(t, 3, s.Count)
	assert.InDelta(t, 2, s.Mean, 1e-12)
	assert.InDelta(t, 1, s.SD, 1e-12)
	assert.InDelta(t, 2+4.9683, s.High, 1e-3)
	assert.InDelta(t, 2-4.9683, s.Low, 1e-3)
	assert.True(t, s.Outside)
	assert.False(t, SpreadOf([]float64{1, 2, 3}, 6.9).Outside)
	few := SpreadOf([]float64{1, 2}, 50)
	assert.NotEmpty(t, few.Why)
	assert.False(t, few.Outside)
	assert.NotEmpty(t, SpreadOf(nil, 1).Why)
}
