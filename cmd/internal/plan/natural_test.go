package plan

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNaturalOrder(t *testing.T) {
	names := []string{"take (10).wav", "1.4uV.wav", "take (2).wav", "0.7uV.wav", "0.56uV.wav", "1uV.wav", "0.4uV.wav", "10uV.wav", "2uV.wav"}
	slices.SortFunc(names, func(a, b string) int {
		switch {
		case Natural(a, b):
			return -1
		case Natural(b, a):
			return 1
		}
		return 0
	})
	assert.Equal(t, []string{"0.4uV.wav", "0.56uV.wav", "0.7uV.wav", "1uV.wav", "1.4uV.wav", "2uV.wav", "10uV.wav", "take (2).wav", "take (10).wav"}, names)
}
