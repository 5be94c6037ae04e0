package unit

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The table is computed from the definition of dBm and 50 ohm, see its head.
func TestTableOfLevelsAt50Ohm(t *testing.T) {
	f, err := os.Open("../../testdata/unit/levels_50ohm.csv")
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 8)
	for _, row := range rows {
		uv, dbm, dbuv := float(t, row[0]), float(t, row[1]), float(t, row[2])
		assert.InDelta(t, dbm, DBmFromMicrovoltPD(uv), 0.005, row)
		assert.InDelta(t, dbm, DBmFromMicrovoltEMF(2*uv), 0.005, row)
		assert.InDelta(t, dbuv, DBMicrovoltEMF(DBmFromMicrovoltPD(uv)), 0.005, row)
		for text, kind := range map[string]LevelKind{
			row[0] + " uV": PD, row[0] + "µV PD": EMF, row[2] + " dBuV": EMF, row[2] + "dBµV EMF": PD,
		} {
			l, err := ParseLevel(text, kind)
			require.NoError(t, err, text)
			assert.Equal(t, Absolute, l.Scale)
			assert.InDelta(t, dbm, l.DB, 0.0101, text) // typed and expected are each rounded to 0.01
		}
	}
}

// 1 µV across 50 ohm is 2e-14 W; 10 log10(2e-14/1e-3) = 10 (log10 2 - 11).
func TestOneMicrovolt(t *testing.T) {
	assert.InDelta(t, 10*(math.Log10(2)-11), DBmFromMicrovoltPD(1), 1e-9)
}

func TestParseLevel(t *testing.T) {
	const halfMicrovolt = -113.0103 // closed form: 10 log10(0.25e-12/50/1e-3)
	for _, c := range []struct {
		text string
		kind LevelKind
		want float64
	}{
		{"0.5uV", PD, halfMicrovolt},
		{"0,5 µV", PD, halfMicrovolt}, // U+00B5
		{"0,5 μV", PD, halfMicrovolt}, // U+03BC
		{"0.5 uV", "", halfMicrovolt},
		{".5uv", PD, halfMicrovolt},
		{"500nV", PD, halfMicrovolt},
		{"0.0005 mV", PD, halfMicrovolt},
		{"5e-7 V", PD, halfMicrovolt},
		{"0.5\u00a0uV\u202fPD", EMF, halfMicrovolt},
		{"1uVemf", PD, halfMicrovolt},
		{"1 µV E.M.F.", PD, halfMicrovolt},
		{"1 µV", EMF, halfMicrovolt},
		{"0.5 uV p.d.", EMF, halfMicrovolt},
		{"-6.0206 dBuV", PD, halfMicrovolt},
		{"0 dBµV EMF", PD, halfMicrovolt},
		{"0 dBuV", EMF, halfMicrovolt},
		{"-119dBm", PD, -119},
		{"-119 DBM", EMF, -119},
		{"\u2212119,5 dBm", PD, -119.5},
		{"1 mV", PD, -46.9897},
		{"1.000 uV", PD, -106.9897},
		{"0,250 uV", PD, -119.0309},
	} {
		l, err := ParseLevel(c.text, c.kind)
		require.NoError(t, err, c.text)
		assert.Equal(t, Absolute, l.Scale, c.text)
		assert.InDelta(t, c.want, l.DB, 1e-4, c.text)
	}
	for text, want := range map[string]Level{
		"0 dB": {Relative, 0}, "-3dB": {Relative, -3}, "+1,5 dB": {Relative, 1.5}, "off": {Scale: Off}, " OFF ": {Scale: Off},
	} {
		l, err := ParseLevel(text, PD)
		require.NoError(t, err, text)
		assert.Equal(t, want, l, text)
	}
}

func TestParseLevelRefuses(t *testing.T) {
	const write = "write it like 0.25uV, 1 mV EMF, -119dBm, 6 dBuV, -3dB or off"
	for text, want := range map[string]string{
		"":                  "the level is empty: " + write,
		"0.5":               `level "0.5" has no unit: ` + write,
		"lots":              `level "lots" is not understood: ` + write,
		"0.5 uW":            `level "0.5 uW" is not understood: ` + write,
		"1uV 2uV":           `level "1uV 2uV" is not understood: ` + write,
		"0x1p-2uV":          `level "0x1p-2uV" is not understood: ` + write,
		"nan dBm":           `level "nan dBm" is not understood: ` + write,
		"1e999 uV":          `level "1e999 uV" is not understood: ` + write,
		"-1uV":              `level "-1uV": volts must be above zero: write off for no signal, or a level in dBm`,
		"0 uV":              `level "0 uV": volts must be above zero: write off for no signal, or a level in dBm`,
		"-119 dBm EMF":      `level "-119 dBm EMF": PD and EMF go with volts, not with dBm: leave EMF out`,
		"119 dBm":           `level "119 dBm" is 119 dBm, outside -200 to +60 dBm: check the number and its unit`,
		"-1190dBm":          `level "-1190dBm" is -1190 dBm, outside -200 to +60 dBm: check the number and its unit`,
		"1e-9 uV":           `level "1e-9 uV" is -287 dBm, outside -200 to +60 dBm: check the number and its unit`,
		"900 dB":            `level "900 dB" is outside -200 to +200 dB: check the number and its unit`,
		"1,000 uV":          `level "1,000 uV": 1,000 can mean 1000 or 1.000: write one of these`,
		"1.000,5 uV":        `level "1.000,5 uV" is not understood: ` + write,
		"0.5 uV\nEMF extra": `level "0.5 uV EMF extra" is not understood: ` + write,
	} {
		_, err := ParseLevel(text, PD)
		assert.EqualError(t, err, want, text)
	}
}

func TestParseLevels(t *testing.T) {
	want := []Level{DBm(DBmFromMicrovoltPD(2)), DBm(DBmFromMicrovoltPD(1.5)), DBm(DBmFromMicrovoltPD(0.5))}
	for _, text := range []string{
		"2uV 1.5uV 0.5uV", "2uV, 1,5uV, 0,5uV", "2 uV 1.5 uV 0.5 uV", "2uV;1.5uV;0.5uV", "2uV,1,5uV,0,5uV",
		"  2 µV ;  1,5 µV;500 nV ", "2uV\n1.5uV\t0.5uV,", "2uV PD, 1.5 uV PD 1 uV EMF",
	} {
		got, err := ParseLevels(text, PD)
		require.NoError(t, err, text)
		require.Len(t, got, 3, text)
		for i := range want {
			assert.InDelta(t, want[i].DB, got[i].DB, 1e-9, text)
		}
	}
	got, err := ParseLevels("off -119 dBm, -3dB", PD)
	require.NoError(t, err)
	assert.Equal(t, []Level{{Scale: Off}, {Absolute, -119}, {Relative, -3}}, got)

	const write = `write each with its unit, like "2uV 1uV 0.5uV" or "-117dBm; -119dBm"`
	for text, want := range map[string]string{
		"":              `the list of levels is empty: write it like "2uV 1uV 0.5uV"`,
		" ;, ":          `the list of levels is empty: write it like "2uV 1uV 0.5uV"`,
		"2uV 1 0.5uV":   `level 2 of the list, "1", has no unit: ` + write,
		"2uV 1uVx":      `level 2 of the list, "1uVx", is not understood: ` + write,
		"offset":        `level 1 of the list, "offset", is not understood: ` + write,
		"2uV 1uV -1 uV": `level "-1 uV": volts must be above zero: write off for no signal, or a level in dBm`,
	} {
		_, err := ParseLevels(text, PD)
		assert.EqualError(t, err, want, text)
	}
}

func TestLevelRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dbm := rapid.Float64Range(-200, 60).Draw(t, "dbm")
		assert.InDelta(t, dbm, DBmFromMicrovoltPD(MicrovoltPD(dbm)), 1e-9)
		assert.InDelta(t, dbm, DBmFromMicrovoltEMF(MicrovoltEMF(dbm)), 1e-9)
		assert.InDelta(t, dbm, DBmFromDBMicrovoltPD(DBMicrovoltPD(dbm)), 1e-9)
		assert.InDelta(t, dbm, DBmFromDBMicrovoltEMF(DBMicrovoltEMF(dbm)), 1e-9)
		assert.InEpsilon(t, 2, MicrovoltEMF(dbm)/MicrovoltPD(dbm), 1e-12)

		l := Level{Scale(rapid.IntRange(0, 2).Draw(t, "scale")), dbm}
		if l.Scale == Off {
			l.DB = 0
		}
		back, err := ParseLevel(l.String(), PD)
		require.NoError(t, err)
		assert.Equal(t, l, back)
		dB := rapid.Float64Range(-100, 100).Draw(t, "dB")
		assert.InDelta(t, l.DB, l.Add(dB).Add(-dB).DB, 1e-9)
	})
}

func TestAddLeavesOffAlone(t *testing.T) {
	assert.Equal(t, Level{Scale: Off}, Level{Scale: Off}.Add(-10))
	assert.Equal(t, Level{Relative, -13}, Level{Relative, -3}.Add(-10))
}

func FuzzParseLevel(f *testing.F) {
	for _, s := range []string{"0.25uV", "0,25 µV EMF", "-119dBm", "6 dBuV", "off", "-3dB", "1uV 2 uV;off", "1e-400V", "\u2212", "rx_-119dBm.wav"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		check := func(l Level, err error) {
			if err != nil {
				require.NotContains(t, err.Error(), "\n")
				require.LessOrEqual(t, len(err.Error()), 500)
				return
			}
			require.False(t, math.IsNaN(l.DB))
			require.LessOrEqual(t, math.Abs(l.DB), 200.0)
		}
		check(ParseLevel(s, EMF))
		l, _, err := LevelFromFileName(s, PD)
		check(l, err)
		ls, err := ParseLevels(s, PD)
		check(Level{}, err)
		for _, l := range ls {
			check(l, nil)
		}
	})
}

func float(t *testing.T, s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}
