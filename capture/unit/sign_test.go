package unit

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// U+00B5 is the micro sign, U+03BC the Greek letter, U+2212 the minus sign, U+2126 the
// ohm sign (Unicode, code charts Latin-1 Supplement, Greek, Mathematical Operators and
// Letterlike Symbols).
func TestOneFormOfASign(t *testing.T) {
	for _, typed := range []string{"1 uV", "1 \u00b5V", "1 \u03bcV"} {
		assert.Equal(t, "1 uV", Plain(typed))
		assert.Equal(t, "1 \u00b5V", MicroSign(typed))
		assert.Equal(t, "at 1 \u00b5V PD", MicroSignInText("at "+typed+" PD"))
	}
	assert.Equal(t, "-73 dBm", Plain("\u221273 dBm"))
	assert.Equal(t, "8 ohm", Plain("8 \u2126"))
	assert.Equal(t, "1 \u00b5V", MicroSign("1 UV"))
	assert.Equal(t, "under a UV lamp, in a louvre", MicroSignInText("under a UV lamp, in a louvre"))
}
