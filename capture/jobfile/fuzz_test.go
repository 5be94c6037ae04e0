package jobfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/fuzzing"
	"hisspoint/capture/job"
)

// bounded parses, and asserts what Go's fuzzing does not: time and memory.
func bounded(t *testing.T, data []byte) {
	var j *job.Job
	var err error
	fuzzing.Frugal(t, func() { j, err = Parse("job.yaml", data) })
	if err != nil {
		require.NotContains(t, err.Error(), "\n")
		require.Less(t, len(err.Error()), 1000)
		return
	}
	written, err := Marshal(j)
	require.NoError(t, err)
	again, err := Parse("job.yaml", written)
	require.NoError(t, err)
	require.Equal(t, j, again)
}

func FuzzParse(f *testing.F) {
	files, err := filepath.Glob(folder + "/*/*.yaml")
	require.NoError(f, err)
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(data)
	}
	for _, k := range job.Kinds() {
		f.Add(asJob(k.Sketch))
	}
	f.Fuzz(bounded)
}

// Bombs: what a megabyte of one pattern does.
func TestBombs(t *testing.T) {
	for _, size := range []int{1 << 20, 50_000} { // refused unread, and the most that is read
		for _, pattern := range []string{"[", "{", "- ", "a: ", "{a: ", "? ", "a: [", "\"", "'", "|\n ", "@", "#", "\n", "a: b\n", "[a, ", "!", "&a ", "*a ", "- - ", ": ", "\t", "é", "a:\n "} {
			bounded(t, []byte(strings.Repeat(pattern, size/len(pattern))))
		}
	}
	var indent strings.Builder
	for i := range 1400 {
		indent.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	bounded(t, []byte(indent.String()))
	laughs := "a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\n"
	_, err := Parse("job.yaml", []byte(laughs))
	assert.ErrorContains(t, err, "an anchor (&) is not allowed")
}
