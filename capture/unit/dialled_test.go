package unit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLevelsStayAsDialled(t *testing.T) {
	for name, want := range map[string]string{
		"0,25uv 2nd.wav": "0.25 uV", "1uVemf.wav": "1 uV EMF", "EMF 1 µV.wav": "1 uV EMF", "rx-117dBm.wav": "-117 dBm", "-117.wav": "-117 dBm",
		"off.wav": "off", "rx 1 microvolt.wav": "1 uV", "rx-1uV.wav": "1 uV", "6dBuV.wav": "6 dBuV",
	} {
		text, ok, err := DialledInFileName(name)
		require.NoError(t, err, name)
		assert.True(t, ok, name)
		assert.Equal(t, want, text, name)
	}
	texts, err := DialledLevels("2uV, 0,5 uV emf;-117dBm .5uV off")
	require.NoError(t, err)
	assert.Equal(t, []string{"2 uV", "0.5 uV EMF", "-117 dBm", "0.5 uV", "off"}, texts)

	assert.Equal(t, "1 uV EMF", WithKind("1 uV", EMF))
	assert.Equal(t, "1 uV PD", WithKind("1 uV PD", EMF))
	assert.Equal(t, "-117 dBm", WithKind("-117 dBm", EMF))
	assert.Equal(t, "1 µV as dialled", Spoken("1 uV", ""))
	assert.Equal(t, "1 µV EMF", Spoken("1 uV", EMF))
	assert.Equal(t, "1 µV PD", Spoken("1 uV PD", EMF))
	assert.Equal(t, "-117 dBm", Spoken("-117 dBm", ""))
}

// 20 dB are a factor of ten in volts, 10 dB of 3.162.
func TestDialMovesWithThePad(t *testing.T) {
	for _, c := range []struct {
		text string
		dB   float64
		want string
	}{
		{"1 uV PD", 10, "3.16 uV PD"}, {"0.5uV", 20, "5 uV"}, {"1 mV", -20, "0.1 mV"}, {"-117 dBm", 10, "-107 dBm"}, {"6 dBuV EMF", -6, "0 dBuV EMF"},
		{"off", 10, "off"}, {"-3 dB", 10, "-3 dB"}, {"1 uV", 0, "1 uV"}, {"nonsense", 3, "nonsense"},
	} {
		assert.Equal(t, c.want, Moved(c.text, c.dB), c.text)
	}
}
