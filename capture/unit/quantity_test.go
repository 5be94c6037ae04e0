package unit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParseQuantities(t *testing.T) {
	for _, c := range []struct {
		parse func(string) (float64, error)
		text  string
		want  float64
	}{
		{ParseFrequency, "1 kHz", 1000}, {ParseFrequency, "1000", 1000}, {ParseFrequency, "1,5kHz", 1500},
		{ParseFrequency, "27,125 MHz", 27.125e6}, {ParseFrequency, "27.78125 MHz", 27.78125e6}, {ParseFrequency, "1007.3 hz", 1007.3},
		{ParseVolts, "1.2 Vrms", 1.2}, {ParseVolts, "300 mV", 0.3}, {ParseVolts, "1,2", 1.2}, {ParseVolts, "1.2 V RMS", 1.2},
		{ParseDB, "-3 dB", -3}, {ParseDB, "\u22121,5dB", -1.5}, {ParseDB, "10", 10},
		{ParsePercent, "5 %", 5}, {ParsePercent, "2,5", 2.5}, {ParsePercent, "10 percent", 10},
		{ParseOhms, "8 Ω", 8}, {ParseOhms, "600 ohms", 600}, {ParseOhms, "4", 4}, {ParseOhms, "10 kΩ", 10000},
		{ParseSeconds, "5", 5}, {ParseSeconds, "250 ms", 0.25}, {ParseSeconds, "1 min", 60},
	} {
		v, err := c.parse(c.text)
		require.NoError(t, err, c.text)
		assert.InEpsilon(t, c.want, v, 1e-12, c.text)
	}
}

func TestParseQuantitiesRefuse(t *testing.T) {
	for _, c := range []struct {
		parse      func(string) (float64, error)
		text, want string
	}{
		{ParseFrequency, "", `frequency "" is not understood: write it like 1 kHz or 1000`},
		{ParseFrequency, "1 dB", `frequency "1 dB" has a unit that does not fit: write it like 1 kHz or 1000`},
		{ParseFrequency, "-1 kHz", `frequency "-1 kHz" must be above zero: write it like 1 kHz or 1000`},
		{ParseFrequency, "0", `frequency "0" must be above zero: write it like 1 kHz or 1000`},
		{ParseFrequency, "1,000 Hz", `frequency "1,000 Hz": 1,000 can mean 1000 or 1.000: write one of these`},
		{ParseFrequency, "inf", `frequency "inf" is not understood: write it like 1 kHz or 1000`},
		{ParseFrequency, "1e300", `frequency "1e300" is not understood: write it like 1 kHz or 1000`},
		{ParseVolts, "3 Vpp", `voltage "3 Vpp" is a peak value: write it like 1.2 V or 300 mV (RMS)`},
		{ParseVolts, "0 V", `voltage "0 V" must be above zero: write it like 1.2 V or 300 mV (RMS)`},
		{ParseDB, "3 dBm", `figure "3 dBm" has a unit that does not fit: write it like -3 dB`},
	} {
		_, err := c.parse(c.text)
		assert.EqualError(t, err, c.want, c.text)
	}
}

func TestDecibels(t *testing.T) {
	// AES17: a sine whose peaks touch full scale reads 0 dBFS; a full-scale square wave reads 3.01 dB.
	assert.InDelta(t, 0, DBFS(0.5), 1e-12)
	assert.InDelta(t, 3.0103, DBFS(1), 1e-4)
	// ETSI TR 100 028: 1 dB is 23.0 % of power and 11.5 % of voltage (that document linearises, ln 10 / 20).
	assert.InDelta(t, 0.230, math.Log(FromDB(1)), 0.0005)
	assert.InDelta(t, 0.115, math.Log(VoltageFromDB(1)), 0.0005)
	assert.InDelta(t, 0.5, Volts(-6.0206, 1), 1e-6)
	assert.InDelta(t, 0.5, Watts(2, 8), 1e-12)
	assert.True(t, math.IsInf(DBFS(0), -1))
	rapid.Check(t, func(t *rapid.T) {
		dB := rapid.Float64Range(-200, 200).Draw(t, "dB")
		assert.InDelta(t, dB, DB(FromDB(dB)), 1e-9)
		assert.InDelta(t, dB, VoltageDB(VoltageFromDB(dB)), 1e-9)
		assert.InDelta(t, dB, DBFS(MeanSquare(dB)), 1e-9)
	})
}

func TestParseNumber(t *testing.T) {
	for _, bad := range []string{"", "nan", "inf", "0x10", "1_000", "1.000,5", "1e999", "--1"} {
		_, err := ParseNumber(bad)
		assert.Error(t, err, bad)
	}
	v, err := ParseNumber(" 0,25 ")
	require.NoError(t, err)
	assert.Equal(t, 0.25, v)
}
