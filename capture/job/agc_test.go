package job

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestAGCHeld(t *testing.T) {
	for text, held := range map[string]bool{
		"AGC off": true, "blanker off, agc held at 1 mV": true, "AGC: fixed": true, "no AGC": true, "the agc was locked": true,
		"": false, "AGC slow": false, "AGC on": false, "blanker off": false, "AGC on, held by hand": false, "agcoff": false,
	} {
		assert.Equal(t, held, AGCHeld("", text), text)
	}
}
