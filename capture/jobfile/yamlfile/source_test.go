package yamlfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// spelled are the ways of YAML that move what a library says of places.
var spelled = []string{
	"", "# c", "---\n", "--- # c\n# d\n~\n", "\ufeff{\"a\":\"b\",\"c\":{\"d\":[1,2,],},}", "a:\n\nb: ~ # c\nc:\t\"x\"\t# d\n",
	"a: \"\\x41\\u00b5 \\\" # , \\\\\" # c\nb: 'it''s' # d\n'c d': \"two\n  lines\\\n  more\" # e\nd: µ  # f\n",
	"a: plain  \n   more # c\nb: x#y  \nc: http://a, b\nd: -1  \n",
	"a: |-  # h\n  one # no\n   two\n\n  # no\n# c\nb: >+\n  x\n\n\nc: |2\n   y\nd: |\ne: |\n  z",
	"a: {b: , c: [1, 2 ,], \"d\":1, e: {}, f: [ ], g: ~, h: x y }  # c\n",
	"a: [ # c\n  x, # d\n  {y: z,\n   w: [v]}\n  # e\n  ,\n b: 1, \"c\": {d: 2}]\n",
	"a:\n- b:\n  - c\n  -\n  - - d\n    - e\n-   f: g\n    h: i\n\n# c\n-\n  j: k\n- # l\n  m\nn: o\n",
	"a:\r\n  - b: c\r\n    # d\r\n  - {e: f,\r\n     g: h}\r\ni: \"j\r\n  k\"\r\n", "a: b\rc:\r  - d\r  # e\r", "a: \"x\ty\"", "{a: 'x\ty', c: d\te, f:\tg}", "\u00a0: \u2003x\u00a0\n",
}

func texts(t testing.TB) []string {
	out := spelled
	for _, pattern := range []string{"../../../testdata/jobfile/*/*.yaml", "../../../analyze/limit/profiles/*.yaml"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, files)
		for _, file := range files {
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			out = append(out, string(data), strings.ReplaceAll(string(data), "\n", "\r\n"))
		}
	}
	return out
}

func TestPlaces(t *testing.T) {
	for _, text := range texts(t) {
		if n, err := Parse("f.yaml", []byte(text)); err == nil {
			assert.True(t, n.Placed(), text)
			nested(t, n, len(text))
			standsAlone(t, n, 0, text)
		}
	}
}

func FuzzPlaces(f *testing.F) {
	for _, text := range texts(f) {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if n, err := Parse("f.yaml", []byte(text)); err == nil && n.Placed() {
			nested(t, n, len(text))
		}
	})
}

// nested checks that values lie within each other and follow each other. That each can
// be read by itself is not asked of what fuzzing writes: the library takes some values
// by what stands around them, which no job file has.
func nested(t *testing.T, n *Node, end int) {
	require.LessOrEqual(t, n.Lead, n.From)
	require.LessOrEqual(t, n.From, n.To)
	require.LessOrEqual(t, n.To, end)
	at := n.From
	within := n.Items
	for _, k := range n.Keys {
		within = append(within, k.Value)
	}
	for _, child := range within {
		require.LessOrEqual(t, at, child.Lead)
		nested(t, child, n.To)
		at = child.To
	}
}

// standsAlone checks that a value is the same when it is read from its own stretch of
// the text.
func standsAlone(t *testing.T, n *Node, indent int, text string) {
	own := text[n.From:n.To]
	bare := func(s string) string { return strings.Join(strings.Fields(s), "") }
	switch line := text[strings.LastIndexAny(text[:n.From], "\r\n")+1 : n.From]; {
	case n.Plain:
		require.Equal(t, bare(n.Text), bare(own), text)
	case n.Kind == Scalar && n.Flow:
		same(t, n, "{a: "+own+"}", text)
	case strings.HasPrefix(own, "|") || strings.HasPrefix(own, ">"): // whose figures count from the key
		same(t, n, strings.Repeat(" ", indent)+"a: "+own, text)
	case n.Kind != Null:
		same(t, n, strings.Repeat(" ", len([]rune(strings.TrimPrefix(line, "\ufeff"))))+own, text)
	}
	within := n.Items
	for _, k := range n.Keys {
		within = append(within, k.Value)
		if k.Value.Kind != Null { // what a comma cuts off is a key without a colon
			assert.Contains(t, text[k.Value.Lead:k.Value.From], ":")
		}
	}
	for _, child := range within {
		standsAlone(t, child, n.Indent, text)
	}
}

// same checks that a value is that of another text, as a whole or behind its key a.
func same(t *testing.T, want *Node, alone, text string) {
	got, err := Parse("f.yaml", []byte(alone))
	require.NoError(t, err, "%q in\n%s", alone, text)
	if want.Kind == Scalar && got.Kind == Mapping {
		got = got.Child("a")
	}
	equal(t, want, got, text)
}

func equal(t *testing.T, want, got *Node, text string) {
	require.Equal(t, want.Kind, got.Kind, text)
	if want.Plain { // the library folds some lines of dashes by where they stand
		require.Equal(t, strings.Fields(want.Text), strings.Fields(got.Text), text)
	} else {
		require.Equal(t, strings.TrimRight(want.Text, " \t\n"), strings.TrimRight(got.Text, " \t\n"), text)
	}
	require.Len(t, got.Items, len(want.Items))
	for i := range want.Items {
		equal(t, want.Items[i], got.Items[i], text)
	}
	require.Len(t, got.Keys, len(want.Keys))
	for i := range want.Keys {
		require.Equal(t, want.Keys[i].Name, got.Keys[i].Name)
		equal(t, want.Keys[i].Value, got.Keys[i].Value, text)
	}
}
