package soundcard

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// What ALSA lists on a computer with one card, in its order (alsa-lib's namehint
// interface; the card is invented).
func TestALSAsCardsThemselves(t *testing.T) {
	listed := []Device{
		{ID: "null", Name: "Discard all samples"},
		{ID: "samplerate", Name: "Rate Converter Plugin"},
		{ID: "default", Name: "Default", Default: true},
		{ID: "hw:CARD=Bench,DEV=0", Name: "Bench Card, Line (Direct hardware device without any conversions)"},
		{ID: "plughw:CARD=Bench,DEV=0", Name: "Bench Card, Line (Hardware device with all software conversions)"},
		{ID: "dsnoop:CARD=Bench,DEV=0", Name: "Bench Card, Line (Direct sample snooping device)"},
		{ID: "sysdefault:CARD=Other", Name: "Other Card"},
		{ID: "mine"},
	}
	assert.Equal(t, []Device{
		{ID: "default", Name: "Default"},
		{ID: "hw:CARD=Bench,DEV=0", Name: "Bench Card, Line", Default: true},
		{ID: "sysdefault:CARD=Other", Name: "Other Card"},
		{ID: "mine", Name: "mine"},
	}, realALSA(listed))
	assert.True(t, realALSA(listed[:3])[0].Default, "without a card the default stays")
}

func TestIdentifiersAreText(t *testing.T) {
	assert.Equal(t, "hw:CARD=X", idText([]byte("hw:CARD=X\x00rest"), false))
	assert.Equal(t, "{0µ}", idText([]byte{'{', 0, '0', 0, 0xb5, 0, '}', 0, 0, 0, 'x', 0}, true))
	assert.Equal(t, "whole", idText([]byte("whole"), false))
}
