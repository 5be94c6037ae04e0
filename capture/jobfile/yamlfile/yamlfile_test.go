package yamlfile

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestNearest(t *testing.T) {
	known := []string{"limit", "limits", "level_uncertainty_db", "file"}
	for typed, want := range map[string]string{
		"lmit": "limit", "Limits": "limits", "flie": "file", "level_uncertanty": "level_uncertainty_db", "x": "", "": "", "banana": "",
	} {
		assert.Equal(t, want, Nearest(typed, known), typed)
	}
}

// The distances of the first rows are the textbook examples of Levenshtein's
// distance; the others follow from its definition.
func TestEdits(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"kitten", "sitting", 3}, {"saturday", "sunday", 3}, {"", "abc", 3}, {"abc", "", 3}, {"abc", "abc", 0}, {"fliter", "filter", 2}, {"", "", 0},
	} {
		assert.Equal(t, c.want, Edits(c.a, c.b, 9), c)
		assert.Equal(t, c.want, Edits(c.b, c.a, 9), c)
	}
	assert.Equal(t, 2, Edits("kitten", "sitting", 2), "stops at the most that is asked for")
}

func TestPlacesAndTexts(t *testing.T) {
	n, err := Parse("f.yaml", []byte("a: 0417\nlist:\n  - {b: \"1,5\"}\n  - b:\ntext: |\n  one\n  two\n"))
	require.NoError(t, err)
	var got struct {
		A    Text `yaml:"a"`
		List []struct {
			B   Number `yaml:"b"`
			Pos Pos
		} `yaml:"list"`
		Text Text `yaml:"text"`
	}
	require.NoError(t, n.Decode(&got))
	assert.Equal(t, Text{"0417", Pos{1, 4}, true}, got.A)
	require.Len(t, got.List, 2)
	assert.Equal(t, Number{1.5, Pos{3, 9}, true}, got.List[0].B)
	assert.Equal(t, Pos{3, 5}, got.List[0].Pos)
	assert.False(t, got.List[1].B.Set, "nothing behind the key is not set")
	assert.Nil(t, got.List[1].B.Pointer())
	assert.Equal(t, "one\ntwo", got.Text.Value)
}

func TestEmptyDocuments(t *testing.T) {
	for _, s := range []string{"", "\n", "# nothing\n", "---\n", "~\n"} {
		n, err := Parse("f.yaml", []byte(s))
		require.NoError(t, err, "%q", s)
		assert.Equal(t, Null, n.Kind, "%q", s)
	}
}
