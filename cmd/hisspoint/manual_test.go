package main

import (
	"bytes"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/reports/topics"
)

// Every command and topic has its page for man, which an independent formatter reads
// without an error and shows with its flags; the page of HTML has them all.
func TestManual(t *testing.T) {
	files, err := manualFiles((&app{}).root())
	require.NoError(t, err)
	page := string(files["help.html"])
	for _, topic := range topics.All() {
		assert.Contains(t, files, "man7/hisspoint-"+topic.Name+".7")
		assert.Contains(t, page, topic.Purpose)
	}
	root := (&app{}).root()
	eachCommand(root, func(c *cobra.Command) {
		if c.IsAvailableCommand() && !strings.Contains(c.CommandPath(), "completion") && c.Name() != "help" {
			assert.Contains(t, files, "man1/"+strings.ReplaceAll(c.CommandPath(), " ", "-")+".1")
		}
	})
	for _, shell := range []string{"hisspoint.bash", "_hisspoint", "hisspoint.fish", "hisspoint.ps1"} {
		assert.NotEmpty(t, files["completions/"+shell])
	}
	mandoc, err := exec.LookPath("mandoc")
	if err != nil {
		require.NotEqual(t, "1", os.Getenv("HISSPOINT_CI"), "mandoc is missing; install mandoc")
		t.Skip("mandoc is missing; install mandoc to look at the pages for man")
	}
	flag := regexp.MustCompile(`(?m)^\.TP\n\\fB((?:\\-|[a-z])+)`)
	shown := 0
	for name, data := range files {
		if !strings.HasPrefix(name, "man") {
			continue
		}
		lint := exec.Command(mandoc, "-Tlint", "-Werror")
		lint.Stdin = bytes.NewReader(data)
		out, err := lint.CombinedOutput()
		assert.NoError(t, err, "%s: %s", name, out)
		look := exec.Command(mandoc, "-Tutf8", "-Owidth=78")
		look.Stdin = bytes.NewReader(data)
		text, err := look.Output()
		require.NoError(t, err)
		plain := regexp.MustCompile(".\x08").ReplaceAllString(string(text), "")
		for _, m := range flag.FindAllStringSubmatch(string(data), -1) {
			assert.Contains(t, plain, strings.ReplaceAll(m[1], `\-`, "-"), name)
			shown++
		}
		assert.NotContains(t, plain, `\e`, name)
	}
	assert.Greater(t, shown, 100)
}
