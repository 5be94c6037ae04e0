package change

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/unit"
)

// Generator and pad are the same in both rounds: only the scatter is left, as
// root-sum-square, 1.96 times (GUM 5.1.2): 1.96 x 0.5 = 0.98.
func TestChange(t *testing.T) {
	point := func(dbm, readings float64) analyze.Point {
		return analyze.Point{Status: analyze.Found, Level: unit.DBm(dbm), Low: dbm - 2, High: dbm + 2, Shares: []analyze.Share{{Name: "readings", DB: readings}, {Name: "generator", DB: 1}}}
	}
	c, ok := ofPoints(point(-107, 0.3), point(-117, 0.4))
	require.True(t, ok)
	assert.InDelta(t, 10, c.Value, 1e-12)
	assert.InDelta(t, 9.02, c.Low, 1e-3)
	assert.InDelta(t, 10.98, c.High, 1e-3)
	assert.True(t, analyze.Significant(c))
	c, _ = ofPoints(point(-117.5, 0.3), point(-117, 0.4))
	assert.InDelta(t, -0.5, c.Value, 1e-12)
	assert.False(t, analyze.Significant(c), "half a dB within 0.98 dB")
	_, ok = ofPoints(analyze.Point{Status: analyze.AboveRange}, point(-117, 0.4))
	assert.False(t, ok)
	relative := point(-3, 0.1)
	relative.Level.Scale = unit.Relative
	_, ok = ofPoints(relative, point(-117, 0.4))
	assert.False(t, ok)
	open := point(-107, 0.3)
	open.NoInterval = "too short"
	c, ok = ofPoints(open, point(-117, 0.4))
	assert.True(t, ok)
	assert.False(t, c.HasInterval())
	assert.False(t, analyze.Significant(c))
}
