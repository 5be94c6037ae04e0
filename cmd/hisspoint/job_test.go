package main

import (
	"bufio"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
)

func answers(text string) *bufio.Reader { return bufio.NewReader(strings.NewReader(text)) }

// A person at a terminal: what flags said is not asked for, and an answer that
// does not fit is asked for again.
func TestQuestionsOfANewJob(t *testing.T) {
	var asked strings.Builder
	f := jobNewFlags{serial: "9"}
	f.ask(answers("0417\ninvented set \ncw\nFM\n\nhears nothing\nlong\nfull\nfm-nothing\nfm-typical\n"), &asked)
	assert.Equal(t, jobNewFlags{number: "0417", set: "invented set", serial: "9", mode: "FM", fault: "hears nothing", plan: "full", limits: "fm-typical"}, f)
	assert.NotContains(t, asked.String(), "Serial")
	assert.Equal(t, 2, strings.Count(asked.String(), "Mode (fm, am, ssb): "))
	assert.Equal(t, 2, strings.Count(asked.String(), "Plan (short, full): "))
	assert.Contains(t, asked.String(), "cw is none of them")
	assert.Contains(t, asked.String(), "fm-land-mobile-12k5")
	assert.NotContains(t, asked.String(), "marine-mf-am", "limits of another mode")

	asked.Reset()
	f = jobNewFlags{like: "0417"}
	f.ask(answers("0418\n"), &asked) // and then the input ends
	assert.Equal(t, jobNewFlags{number: "0418", like: "0417"}, f)
	assert.NotContains(t, asked.String(), "Plan")
}

func TestAnsweredQuestionsMakeAJob(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	f := jobNewFlags{}
	f.ask(answers("0417\ninvented set\n12\nAM\n\n\n\n\n"), &strings.Builder{})
	var out strings.Builder
	a := &app{stdin: strings.NewReader(""), stdout: bufio.NewWriter(&out), stderr: &strings.Builder{}}
	require.NoError(t, a.jobNew(nil, f))
	j, err := jobfile.Load("0417")
	require.NoError(t, err)
	assert.Equal(t, job.Set{Description: "invented set", Serial: "12", Mode: job.AM}, j.Set)
	assert.NotEmpty(t, j.AsFound.Tests)
	require.NoError(t, os.WriteFile("shop.yaml", []byte("heading: Invented Workshop\n"), 0o644))
	require.NoError(t, a.jobNew([]string{filepath.Join("deep", "0418")}, jobNewFlags{number: "0418"}))
	j, err = jobfile.Load(filepath.Join("deep", "0418"))
	require.NoError(t, err)
	assert.Empty(t, j.ShopFile, "a shop's file that lies elsewhere is none of the job's")
	require.NoError(t, a.jobNew(nil, jobNewFlags{number: "0419"}))
	j, err = jobfile.Load("0419")
	require.NoError(t, err)
	assert.Equal(t, "Invented Workshop", j.Shop.Heading)
}

// What README.md shows of a job file is one.
func TestReadmeShowsEveryTest(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	block := regexp.MustCompile("(?s)```yaml\n(.*?)```\n").FindSubmatch(text)
	require.NotNil(t, block)
	indented := strings.ReplaceAll(strings.TrimSpace(string(block[1])), "\n", "\n      ")
	j, err := jobfile.Parse("README.md", []byte("job: \"1\"\nrounds:\n  as_left:\n    tests:\n      "+indented+"\n"))
	require.NoError(t, err)
	for _, k := range job.Kinds() {
		has := false
		for _, test := range j.AsLeft.Tests {
			has = has || test.Kind == k.Name
		}
		assert.True(t, has, k.Name)
	}
}

func TestFoldedLinesFit(t *testing.T) {
	text := strings.Repeat("0.5 µV PD carrier, ", 12)
	out := folded("  next: ", text)
	for i, line := range strings.Split(out, "\n") {
		assert.LessOrEqual(t, utf8.RuneCountInString(line), 80)
		assert.True(t, i == 0 || strings.HasPrefix(line, "        "))
	}
	assert.Equal(t, strings.Fields("  next: "+text), strings.Fields(out))
}
