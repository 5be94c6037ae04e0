package say_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/reports/doc/say"
)

func TestClean(t *testing.T) {
	assert.Equal(t, "a\ufffdb c\ufffd \U0001f4fb \ufffd", say.Clean("a\xffb\nc\x00 \U0001f4fb \u202e"))
	assert.Equal(t, []string{"one", "two three"}, say.CleanLines("one\r\n\n  two\tthree \n"))
}
