package print_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hisspoint/capture/doors/print"
)

// Whatever comes in, nothing that commands a terminal (ECMA-48: C0, DEL, C1) or turns
// the direction of writing (UAX 9) comes out.
func TestNothingHiddenPasses(t *testing.T) {
	commands := "\x00\x07\x08\x0b\x1b\x7f\u0085\u009b\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(rapid.String(), rapid.StringOf(rapid.RuneFrom([]rune(commands+"aé日\n\r\t"))), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) })).Draw(t, "s")
		var through bytes.Buffer
		fmt.Fprint(print.Writer{W: &through}, s)
		for _, out := range []string{print.Text(s), through.String()} {
			if !utf8.ValidString(out) || strings.ContainsAny(out, commands) {
				t.Fatalf("%q became %q", s, out)
			}
		}
		if strings.ContainsAny(print.Text(s), "\n\r\t") {
			t.Fatalf("%q is no single line", print.Text(s))
		}
		text, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		safe := print.JSON(text)
		var before, after string
		if json.Unmarshal(text, &before) != nil || json.Unmarshal(safe, &after) != nil || before != after || strings.ContainsAny(string(safe), commands) {
			t.Fatalf("%q became %q", text, safe)
		}
	})
}

func TestReadersSeeThatSomethingWasThere(t *testing.T) {
	assert.Equal(t, "a\ufffd[2K PASS\ufffd", print.Text("a\x1b[2K\rPASS\u202e"))
	assert.Equal(t, "µ é 日本 \U0001f4fb", print.Text("µ é 日本 \U0001f4fb"))
	assert.Len(t, []rune(print.Text("a"+strings.Repeat("\u0301", 1000))), 9)
}

func TestDeep(t *testing.T) {
	type block struct{ Text string }
	type page struct {
		Title  string
		Blocks []any
		Rows   [][]string
		More   *block
	}
	in := page{"a\x1b", []any{block{"b\x1b"}}, [][]string{{"c\x1b"}}, &block{"d\x1b"}}
	out := print.Deep(in)
	assert.Equal(t, page{"a\ufffd", []any{block{"b\ufffd"}}, [][]string{{"c\ufffd"}}, &block{"d\ufffd"}}, out)
	require.Equal(t, "b\x1b", in.Blocks[0].(block).Text, "what came in is as it was")
}
