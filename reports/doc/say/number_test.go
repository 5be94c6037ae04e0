package say

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"hisspoint/analyze"
	"hisspoint/capture/unit"
)

// The first rows are the examples of the Particle Data Group (Review of
// Particle Physics, Introduction, section 5.3, from memory): 0.827 +-0.119
// becomes 0.83 +-0.12, 0.827 +-0.367 becomes 0.8 +-0.4. The others are the
// edges of that rule.
func TestBetween(t *testing.T) {
	for _, c := range []struct {
		value, half   float64
		most          int
		want, between string
	}{
		{0.827, 0.119, 9, "0.83", "±0.12"},
		{0.827, 0.367, 9, "0.8", "±0.4"},
		{1, 0.0354, 9, "1.000", "±0.035"},
		{1, 0.0355, 9, "1.00", "±0.04"},
		{1, 0.0949, 9, "1.00", "±0.09"},
		{1, 0.095, 9, "1.00", "±0.10"},
		{1, 0.0999, 9, "1.00", "±0.10"},
		{1, 0.09999, 9, "1.00", "±0.10"},
		{1, 0.1, 9, "1.00", "±0.10"},
		{-117.2, 1.2, 2, "-117.2", "±1.2"},
		{12.3456, 0.2149, 2, "12.35", "±0.21"},
		{12.3456, 0.0001, 2, "12.35", "±0.01"}, // never more digits than the cap, never narrower than the last digit
		{12.3456, 0, 2, "12.35", "±0.01"},
		{1234, 120, 3, "1230", "±120"},
		{1234, 400, 3, "1200", "±400"},
		{1249.9, 4000, 3, "1000", "±4000"},
		{-0.004, 0.12, 3, "0.00", "±0.12"},
		{0, 0.5, 3, "0.0", "±0.5"},
		{9.996, 0.12, 3, "10.00", "±0.12"},
		{1e-9, 2e-10, 12, "0.00000000100", "±0.00000000020"},
	} {
		n := Between(c.value, c.value-c.half, c.value+c.half, c.most)
		assert.Equal(t, c.want, n.Value, c)
		assert.Equal(t, c.between, n.Spread(), c)
	}
}

func TestUnevenIntervals(t *testing.T) {
	n := Between(0.309, 0.269, 0.3552, 4) // half-width 0.043
	assert.Equal(t, Number{Value: "0.31", Low: "0.27", High: "0.36", PlusMinus: "0.04"}, n)
	n = Between(1.6, 1.31, 1.75, 3)
	assert.Equal(t, "1.31 to 1.75", n.Spread())
	n = Between(2, -0.01, 2.5, 3) // half-width 1.255
	assert.Equal(t, "0.0 to 2.5", n.Spread())
}

func TestOfReading(t *testing.T) {
	for _, c := range []struct {
		r    analyze.Reading
		want string
	}{
		{analyze.Reading{Unit: "dB", Value: 12.345, NoInterval: "x"}, "12.3"},
		{analyze.Reading{Unit: "Hz", Value: 50.003, NoInterval: "x"}, "50.0"},
		{analyze.Reading{Unit: "%", Value: 1.2345, NoInterval: "x"}, "1.23"},
		{analyze.Reading{Unit: "dB", Value: -0.01, NoInterval: "x"}, "0.0"},
		{analyze.Reading{Unit: "FS", Value: 0.0005, Low: 0.00049, High: 0.00051}, "0.0005"},
	} {
		n := Reading(c.r)
		assert.Equal(t, c.want, n.Value)
	}
}

func TestSignificant(t *testing.T) {
	for _, c := range []struct {
		v    float64
		n    int
		want string
	}{
		{0.25, 3, "0.25"}, {1, 3, "1"}, {0.3162, 3, "0.316"}, {0, 3, "0"}, {1000, 3, "1000"}, {999.96, 3, "1000"}, {-3, 4, "-3"},
		{0.09999, 3, "0.1"}, {123456, 3, "123000"}, {44.1, 5, "44.1"}, {1e-7, 2, "0.0000001"},
	} {
		assert.Equal(t, c.want, Significant(c.v, c.n), "%g to %d digits", c.v, c.n)
	}
}

// Whatever the figures, value and interval end at the same digit, and what is
// shown is within half of that digit of the truth.
func TestValueAndIntervalEndAtTheSameDigit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.Float64Range(-1e6, 1e6).Draw(t, "value")
		half := math.Pow(10, rapid.Float64Range(-6, 3).Draw(t, "exponent"))
		n := Between(value, value-half, value+half, 6)
		behind := func(s string) int { return behindPoint(s) }
		if behind(n.Low) != behind(n.Value) || behind(n.High) != behind(n.Value) || n.PlusMinus != "" && behind(n.PlusMinus) != behind(n.Value) {
			t.Fatalf("%+v do not end at one digit", n)
		}
		shown, err := strconv.ParseFloat(n.Value, 64)
		if err != nil || math.Abs(shown-value) > 0.5001*math.Max(half, 1e-6) {
			t.Fatalf("%v shown as %s", value, n.Value)
		}
	})
}

func behindPoint(s string) int {
	if i := strings.IndexByte(s, '.'); i >= 0 {
		return len(s) - i
	}
	return 0
}

func TestSetLevel(t *testing.T) {
	for _, c := range []struct {
		l    unit.Level
		kind unit.LevelKind
		want string
	}{
		{unit.DBm(-106.98970004336019), unit.PD, "1 \u00b5V PD"},
		{unit.DBm(-106.98970004336019), unit.EMF, "2 \u00b5V EMF"},
		{unit.DBm(-46.98970004336019), unit.PD, "1 mV PD"},
		{unit.DBm(-119.031), "", "0.25 \u00b5V PD"},
		{unit.Level{Scale: unit.Relative, DB: -3}, unit.PD, "-3 dB"},
		{unit.Level{Scale: unit.Off}, unit.PD, "off"},
	} {
		assert.Equal(t, c.want, Level(c.l, c.kind))
	}
}

// The first is the example by which the tool is known.
func TestPointText(t *testing.T) {
	point := analyze.Point{Status: analyze.Found, Level: unit.DBm(-117.2), Low: -118.4, High: -116.0}
	assert.Equal(t, "0.31 \u00b5V PD (-117.2 dBm), 95 %: 0.27 to 0.35 \u00b5V", Point(point, unit.PD))
	assert.Equal(t, "0.62 \u00b5V EMF (-117.2 dBm), 95 %: 0.54 to 0.71 \u00b5V", Point(point, unit.EMF))
	strong := analyze.Point{Level: unit.DBm(-45.8), Low: -46, High: -45.6}
	assert.Equal(t, "1.147 mV PD (-45.80 dBm), 95 %: 1.121 to 1.174 mV", Point(strong, unit.PD))
	point.NoInterval = "too short"
	assert.Equal(t, "0.31 \u00b5V PD (-117.2 dBm), no interval", Point(point, unit.PD))
	point.NoInterval, point.OneSided = "", "low"
	point.Low = 0
	assert.Equal(t, "0.31 \u00b5V PD (-117.2 dBm), 95 %: up to 0.35 \u00b5V", Point(point, unit.PD))
	point.OneSided, point.Low, point.High = "high", -118.4, 0
	assert.Equal(t, "0.31 \u00b5V PD (-117.2 dBm), 95 %: from 0.27 \u00b5V", Point(point, unit.PD))
	relative := analyze.Point{Level: unit.Level{Scale: unit.Relative, DB: -3.21}, Low: -3.5, High: -2.92}
	assert.Equal(t, "-3.21 dB, 95 %: -3.50 to -2.92 dB", Point(relative, unit.PD))
}

func TestOrdinal(t *testing.T) {
	for n, want := range map[int]string{1: "1st", 2: "2nd", 3: "3rd", 4: "4th", 10: "10th", 11: "11th", 12: "12th", 13: "13th", 22: "22nd"} {
		assert.Equal(t, want, Ordinal(n))
	}
}
