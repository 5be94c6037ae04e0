package main

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// What is done within two seconds shows nothing; after that no more often than can be
// read, one recording by its share; nothing is left of it at the end.
func TestProgressIsShownAfterTwoSeconds(t *testing.T) {
	var out bytes.Buffer
	at := time.Unix(0, 0)
	p := newProgressLine(&out, func() time.Time { return at })
	shows := func(after time.Duration, done float64, total int, want string) {
		t.Helper()
		out.Reset()
		at = time.Unix(0, 0).Add(after)
		p.tell(done, total, "recordings")
		assert.Equal(t, want, out.String())
	}
	shows(1900*time.Millisecond, 3, 60, "")
	shows(2000*time.Millisecond, 4.5, 60, "\r4 of 60 recordings\x1b[K")
	shows(2050*time.Millisecond, 5, 60, "")
	shows(2100*time.Millisecond, 5, 60, "\r5 of 60 recordings\x1b[K")
	shows(2101*time.Millisecond, 60, 60, "\r\x1b[K")
	shows(2102*time.Millisecond, 60, 60, "")
	shows(3*time.Second, 0.37, 1, "\r37 % read\x1b[K")
	out.Reset()
	p.clear()
	p.clear()
	assert.Equal(t, "\r\x1b[K", out.String())
}
