package job

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/unit"
)

func TestParseLimit(t *testing.T) {
	for _, c := range []struct {
		text, quantity      string
		kind                unit.LevelKind
		bound               string
		value               float64
		unit, typed, source string
	}{
		// 0.5 µV PD is -113.0103 dBm, and half of it as EMF (10 log10 of U^2/50/1 mW).
		{"0.5 uV PD, service manual", QuantitySensitivity, unit.EMF, AtMost, -113.0103, "dBm", "0.5 µV PD", "service manual"},
		{"0.5uV", QuantitySensitivity, unit.PD, AtMost, -113.0103, "dBm", "0.5µV PD", ""},
		{"0.5uV", QuantitySensitivity, "", AtMost, -113.0103, "dBm", "0.5µV PD", ""},
		{"1 uV", QuantitySensitivity, unit.EMF, AtMost, -113.0103, "dBm", "1 µV EMF", ""},
		{"0,5 μV, page 3, table 1", QuantitySensitivity, unit.PD, AtMost, -113.0103, "dBm", "0,5 µV PD", "page 3, table 1"},
		{"-113 dBm; manual", QuantitySensitivity, unit.PD, AtMost, -113, "dBm", "-113 dBm", "manual"},
		{"5 %", QuantityDistortion, "", AtMost, 5, "%", "5 %", ""},
		{"5", QuantityDistortion, "", AtMost, 5, "%", "5 %", ""},
		{"at most 5 %", QuantityDistortion, "", AtMost, 5, "%", "5 %", ""},
		{"max. 5 %", QuantityDistortion, "", AtMost, 5, "%", "5 %", ""},
		{"≤ 5 %, manual", QuantityDistortion, "", AtMost, 5, "%", "5 %", "manual"},
		{"40 dB min", QuantityHumNoise, "", AtLeast, 40, "dB", "40 dB", ""},
		{"40", QuantityHumNoise, "", AtLeast, 40, "dB", "40 dB", ""},
		{"At Least 85 %", QuantityModulation, "", AtLeast, 85, "%", "85 %", ""},
		{"2.5 kHz", QuantityDeviation, "", AtMost, 2500, "Hz", "2.5 kHz", ""},
		{"0.15 s", QuantityAttack, "", AtMost, 150, "ms", "0.15 s", ""},
		{"500 mW", QuantityAudioPower, "", AtLeast, 0.5, "W", "500 mW", ""},
	} {
		l, err := ParseLimit(c.text, c.quantity, c.kind)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.bound, l.Bound, c.text)
		assert.InDelta(t, c.value, l.Value, 1e-4, c.text)
		assert.Equal(t, []string{c.unit, c.typed, c.source, User}, []string{l.Unit, l.Typed, l.Source, l.Standing}, c.text)
	}
}

func TestParseLimitRefuses(t *testing.T) {
	for _, c := range []struct{ text, quantity, want string }{
		{"", QuantityDistortion, `the limit has no figure: write it like "5 %" or "5 %, service manual"`},
		{"at most", QuantityDistortion, `the limit has no figure: write it like "5 %" or "5 %, service manual"`},
		{"5 dB", QuantityDistortion, `limit: share "5 dB" has a unit that does not fit: write it like 5 %`},
		{"-3 dB", QuantitySensitivity, `limit: "-3 dB" is no absolute level: write it like 0.5 uV PD or -113 dBm`},
		{"off", QuantitySensitivity, `limit: "off" is no absolute level: write it like 0.5 uV PD or -113 dBm`},
		{"zero W", QuantityAudioPower, `limit: power "zero W" is not understood: write it like 2 W`},
	} {
		_, err := ParseLimit(c.text, c.quantity, "")
		assert.EqualError(t, err, c.want, c.text)
	}
	_, err := ParseLimit("5", "beauty", "")
	assert.ErrorContains(t, err, `limit of "beauty" is not known: use one of audio_power, `)
}

func TestCriteria(t *testing.T) {
	c, err := ParseCriterion("")
	require.NoError(t, err)
	assert.Equal(t, "12 dB SINAD", c.Label())
	c, err = ParseLimitCriterion("sn_n 10 dB")
	require.NoError(t, err)
	assert.Equal(t, "10 dB (S+N)/N", c.Label())
	_, err = ParseCriterion("sn_n 10 dB")
	assert.Error(t, err, "a test cannot use it yet")
}
