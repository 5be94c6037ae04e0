package job

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/unit"
)

func TestPlacesOnAxes(t *testing.T) {
	for _, c := range []struct {
		axis, text string
		want       float64
	}{
		{AxisTone, "400 Hz", 400}, {AxisTone, "1 kHz", 1000},
		{AxisOffset, "-2 kHz", -2000}, {AxisOffset, "+500 Hz", 500}, {AxisOffset, "0 Hz", 0}, {AxisOffset, "0", 0},
		{AxisInput, "10 mV", 20}, {AxisInput, "1 V", 60}, {AxisInput, "-20 dB", -20}, {AxisInput, "500 uV", -6.0206},
		{AxisVolume, "1/2", 0.5}, {AxisVolume, "75 %", 75}, {AxisVolume, "max", 0},
	} {
		got, err := ParseAt(c.axis, c.text)
		require.NoError(t, err, c.text)
		assert.InDelta(t, c.want, got, 1e-4, c.text)
	}
	for _, c := range [][2]string{{AxisTone, "x"}, {AxisOffset, "two"}, {AxisInput, "10"}, {AxisInput, "-1 mV"}, {AxisLevel, "1 uV"}} {
		_, err := ParseAt(c[0], c[1])
		assert.Error(t, err, c)
	}
}

func TestParts(t *testing.T) {
	p, err := ParsePart("0.5 uV carrier", unit.PD)
	require.NoError(t, err)
	assert.Equal(t, StateCarrier, p.State)
	assert.InDelta(t, -113.01, p.Level.DB, 0.01)
	assert.Equal(t, "0.5 uV carrier", p.Part())
	p, err = ParsePart("off", unit.PD)
	require.NoError(t, err)
	assert.Equal(t, StateOff, p.State)
	for _, bad := range []string{"", "1 uV", "1 uV off", "loud carrier", "carrier 1 uV"} {
		_, err := ParsePart(bad, unit.PD)
		assert.Error(t, err, bad)
	}
}

// A row says all that the program needs of a kind.
func TestKindsAreWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range Kinds() {
		assert.False(t, seen[k.Name], k.Name)
		seen[k.Name] = true
		assert.NotEmpty(t, k.Title, `%s: people call it by its title: add Title: "..." to its row`, k.Name)
		assert.Contains(t, k.Sketch, k.Name+":", `%s: help and errors show a stanza: add Sketch: "%s: {file: ...}" to its row`, k.Name, k.Name)
		assert.NotEmpty(t, k.Words, `%s: job add knows recordings by their names: add Words: []string{"..."} to its row`, k.Name)
		assert.NotEmpty(t, k.Record, `%s: the manual says what to record: add Record: "..." to its row`, k.Name)
		assert.NotEmpty(t, k.Gives, `%s: the manual says what it gives: add Gives: "..." to its row`, k.Name)
		assert.True(t, k.Single || k.Axis != "" || k.States, "%s: nothing says what its recordings are: add Single: true, Axis: AxisLevel or States: true to its row", k.Name)
		for _, q := range k.Limits {
			assert.Contains(t, BoundedQuantities(), q, k.Name)
		}
	}
}

func TestKeyedTimes(t *testing.T) {
	spans, err := ParseKeyed("1.0-3.0, 5-7.5")
	require.NoError(t, err)
	assert.Equal(t, []Span{{1, 3}, {5, 7.5}}, spans)
	for _, bad := range []string{"", "1", "3-1", "1-3, 2-4", "a-b"} {
		_, err := ParseKeyed(bad)
		assert.Error(t, err, bad)
	}
}
