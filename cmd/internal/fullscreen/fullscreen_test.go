package fullscreen

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Sequences of ECMA-48 and of the usual terminals.
func TestDecode(t *testing.T) {
	for text, want := range map[string][]Key{
		"b":          {{Rune: 'b'}},
		"µ!":         {{Rune: 'µ'}, {Rune: '!'}},
		"\r":         {{Name: Enter}},
		"\x1b":       {{Name: Escape}},
		"\x1b[A":     {{Name: Up}},
		"\x1bOB":     {{Name: Down}},
		"\x1b[1;5Cq": {{Rune: 'q'}},
		"\x1b[3~q":   {{Rune: 'q'}},
		"\x7f\x03":   {{Name: Backspace}, {Name: Interrupt}},
		"\x1b[":      {{Name: Escape}, {Rune: '['}},
		"\x01\x02":   nil,
		"":           nil,
	} {
		assert.Equal(t, want, decode([]byte(text)), "%q", text)
	}
}
