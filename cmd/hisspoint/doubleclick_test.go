package main

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestAWindowOfItsOwnStaysUntilEnter(t *testing.T) {
	for _, c := range []struct {
		own  bool
		args string
		code int
		says string
	}{
		{true, "", exitDone, "hisspoint-windows-amd64 measure *.wav"},
		{true, "--version", exitDone, "hisspoint "},
		{true, "measure nowhere.wav", exitTrouble, ""},
		{false, "--version", exitDone, "hisspoint "},
	} {
		in, out := strings.NewReader("\nmore"), &bytes.Buffer{}
		assert.Equal(t, c.code, started(c.own, strings.Fields(c.args), in, out, &bytes.Buffer{}), c.args)
		assert.Contains(t, out.String(), c.says)
		assert.Equal(t, c.own, strings.HasSuffix(out.String(), "\nEnter closes this window. "), out.String())
		assert.Equal(t, c.own, in.Len() < 5, "a line was waited for: %q", c.args)
	}
}
