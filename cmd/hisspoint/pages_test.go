package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/reports/doc"
	"hisspoint/reports/topics"
)

// The manual has a stanza of every kind as its row writes it, and all of them together
// are one job.
func TestJobFilePageTellsOfEveryKind(t *testing.T) {
	topic, _ := topics.Find("job-file")
	stanzas := ""
	for _, b := range topicPage(t, topic).Blocks {
		if c, is := b.(doc.Code); is && c.Kind == "yaml" {
			stanzas = strings.Join(c.Lines, "\n      ")
		}
	}
	tests := helpOf(t, "tests")
	for _, k := range job.Kinds() {
		assert.Contains(t, stanzas, "- "+k.Name+":")
		assert.Contains(t, tests, "\n  "+k.Name)
	}
	j, err := jobfile.Parse("job-file.md", []byte("job: \"1\"\nrounds:\n  as_left:\n    tests:\n      "+stanzas+"\n"))
	require.NoError(t, err)
	assert.Len(t, j.AsLeft.Tests, len(job.Kinds()))
}

// What a newcomer reads stays short, and its links lead somewhere.
func TestPagesStayShort(t *testing.T) {
	link := regexp.MustCompile(`\]\(([^)#]+)\)`)
	for name, most := range map[string]int{"README.md": 200, "DEVELOPERS.md": 160} {
		text, err := os.ReadFile(filepath.Join("..", "..", name))
		require.NoError(t, err)
		assert.LessOrEqual(t, strings.Count(string(text), "\n"), most, "%s: move a chapter to a topic, to the doc of a package or to testdata/CLAIMS.md", name)
		for _, m := range link.FindAllStringSubmatch(string(text), -1) {
			assert.FileExists(t, filepath.Join("..", "..", m[1]), name)
		}
	}
	for _, m := range regexp.MustCompile("(?m)^\\| `([a-z-]+)` \\|.*?\\| `([a-z-]+)` \\|").FindAllStringSubmatch(readme(t), -1) {
		for _, topic := range m[1:] {
			_, known := topics.Find(topic)
			assert.True(t, known, "README names the topic %s", topic)
		}
	}
}

func readme(t *testing.T) string {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	return string(text)
}

// Whoever knows nothing finds it from help alone within two steps: a line of the list leads
// to the page that answers.
func TestANewcomerFinds(t *testing.T) {
	list := helpOf(t)
	for _, c := range []struct{ line, page, answer string }{
		{"how to name recordings", "names", "0.25uV.wav"},
		{"PD, EMF, dBm", "levels", "across"},
		{"why a verdict is missing", "verdicts", "TOO CLOSE TO CALL"},
		{"all cautions in one place", "safety", "bridged"},
		{"from a figure to the part", "faults", "reservoir"},
		{"every warning", "warnings", "clipped"},
	} {
		assert.Regexp(t, `(?m)^  `+c.page+` .*`+regexp.QuoteMeta(c.line), list)
		assert.Contains(t, strings.ToLower(helpOf(t, c.page)), strings.ToLower(c.answer), c.page)
	}
	assert.Contains(t, helpOf(t, "warnings", "clipped"), "What to do: ")
}
