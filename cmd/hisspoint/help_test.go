package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/simulate"
	"hisspoint/capture/wav"
	"hisspoint/reports/doc"
	"hisspoint/reports/topics"
)

func topicPage(t *testing.T, topic topics.Topic) doc.Document {
	d, err := topics.Page(topic, topics.Facts{ExitCodes: exitCodes})
	require.NoError(t, err)
	return d
}

func helpOf(t *testing.T, args ...string) string {
	var stdout, stderr strings.Builder
	require.Equal(t, exitDone, program(append([]string{"help"}, args...), strings.NewReader(""), &stdout, &stderr), stderr.String())
	return stdout.String()
}

// Every page fits a screen of 80 columns, leads on to pages that there are, and takes no
// command's name.
func TestTopicPages(t *testing.T) {
	root := (&app{}).root()
	also := regexp.MustCompile(`(?s)See also: (.*?)\.\n`)
	for _, topic := range topics.All() {
		page := helpOf(t, topic.Name)
		for line := range strings.Lines(page) {
			assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimRight(line, "\n")), 80, "%s: %s", topic.Name, line)
		}
		assert.NotContains(t, page, "{{", topic.Name)
		assert.NotContains(t, page, "**", topic.Name)
		links := also.FindStringSubmatch(page)
		require.NotNil(t, links, "%s ends with See also", topic.Name)
		for _, name := range strings.Split(strings.Join(strings.Fields(links[1]), " "), ", ") {
			_, known := topics.Find(name)
			assert.True(t, known, "%s: see also %s, which is not there", topic.Name, name)
		}
		c, _, err := root.Find([]string{topic.Name})
		assert.True(t, err != nil || c == root, "%s is a command", topic.Name)
	}
}

// Each command has its place in the list, and each flag that a page names is one.
func TestHelpListsEveryCommand(t *testing.T) {
	list, flags := helpOf(t), map[string]bool{}
	root := (&app{}).root()
	eachCommand(root, func(c *cobra.Command) {
		c.LocalFlags().VisitAll(func(f *pflag.Flag) { flags["--"+f.Name] = true })
	})
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() && c.Name() != "help" {
			assert.NotEmpty(t, c.GroupID, "%s: give it a place in groupOf", c.Name())
			assert.Contains(t, list, "\n  "+c.Name(), c.Name())
		}
	}
	flags["--help"] = true
	for _, topic := range topics.All() {
		for _, f := range regexp.MustCompile(`--[a-z][a-z-]+`).FindAllString(helpOf(t, topic.Name), -1) {
			assert.True(t, flags[f], "%s: no command has %s", topic.Name, f)
		}
	}
}

// Every command that a page shows by itself is run, beside the demo's folder and its
// recordings.
func TestTopicExamples(t *testing.T) {
	made, err := demoOnce()
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	require.NoError(t, made.place("."))
	levels, err := filepath.Glob("hisspoint-demo/as-left/*uV.wav")
	require.NoError(t, err)
	for _, f := range levels {
		b, err := os.ReadFile(f)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Base(f), b, 0o666))
	}
	b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: simulate.PlainCard(), Seed: 7}
	var steps []simulate.Segment
	for _, uv := range []float64{10, 3, 1, 0.5} {
		steps = append(steps, simulate.Segment{Seconds: 2.5, LevelDBm: simulate.DBmFromMicrovoltPD(uv)})
	}
	require.NoError(t, wav.WriteFile("steps.wav", wav.Format{Rate: b.Card.Rate, Bits: b.Card.Bits}, b.Record(steps...)))
	ran := 0
	var pages [][]doc.Block
	for _, topic := range topics.All() {
		pages = append(pages, topicPage(t, topic).Blocks)
	}
	eachCommand((&app{}).root(), func(c *cobra.Command) {
		blocks, _, err := topics.Guide(guideName(c), manualFacts)
		require.NoError(t, err)
		pages = append(pages, blocks)
	})
	for _, page := range pages {
		for _, block := range page {
			code, ok := block.(doc.Code)
			if !ok || code.Kind != "" {
				continue
			}
			for _, command := range strings.Split(strings.ReplaceAll(strings.Join(code.Lines, "\n"), "\\\n", ""), "\n") {
				if command == "hisspoint demo" {
					command = "go run ./cmd/hisspoint demo"
				}
				assert.NotEmpty(t, runCommand(t, command), command)
				ran++
			}
		}
	}
	assert.GreaterOrEqual(t, ran, 25)
}

func TestHelpSaysWhatItHasNot(t *testing.T) {
	for _, c := range []struct{ args, want string }{
		{"levls", `did you mean "levels"?`}, {"mesure", `did you mean "measure"?`}, {"frobnicate", "see hisspoint help"},
		{"words frobnicate", "is not among them"}, {"levels more", `"more" is one too many`},
	} {
		var stdout, stderr strings.Builder
		assert.Equal(t, exitTrouble, program(append([]string{"help"}, strings.Fields(c.args)...), strings.NewReader(""), &stdout, &stderr), c.args)
		assert.Contains(t, stderr.String(), c.want, c.args)
		assert.Empty(t, stdout.String(), c.args)
	}
	assert.Contains(t, helpOf(t, "words", "thd"), "harmonics")
	assert.Contains(t, helpOf(t, "words", "sinad"), "SINAD: ")
	assert.Contains(t, helpOf(t, "job", "add"), "--places")
}
