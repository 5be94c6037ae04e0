package main

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the outputs in README.md anew; look at them before committing")

var (
	consoleBlock = regexp.MustCompile("(?s)```console\n(.*?)```\n")
	shellWord    = regexp.MustCompile(`"[^"]*"|\S+`)
)

// Every command that README.md shows is run, in its order, in a folder of its
// own, and has to print what stands below it. A line of ... stands for any
// lines.
func TestReadmeCommands(t *testing.T) {
	path, err := filepath.Abs(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	blocks := 0
	after := consoleBlock.ReplaceAllStringFunc(string(text), func(block string) string {
		body := consoleBlock.FindStringSubmatch(block)[1]
		command, want, _ := strings.Cut(strings.TrimPrefix(body, "$ "), "\n")
		require.True(t, strings.HasPrefix(body, "$ "), "a block begins with its command: %s", body)
		if command == "go test ./..." { // which this is part of
			return block
		}
		blocks++
		got := runCommand(t, command)
		if *update && !strings.Contains(want, "...\n") {
			return "```console\n$ " + command + "\n" + got + "```\n"
		}
		assert.True(t, fits(want, got), "%s prints\n%s\nand README.md says\n%s", command, got, want)
		return block
	})
	assert.GreaterOrEqual(t, blocks, 6)
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(after), 0o644))
	}
}

func runCommand(t *testing.T, command string) string {
	var args []string
	for _, w := range shellWord.FindAllString(command, -1) {
		args = append(args, strings.Trim(w, `"`))
	}
	switch {
	case command == "go run ./cmd/hisspoint demo":
		made, err := demoOnce()
		require.NoError(t, err)
		require.NoError(t, made.place("."))
		return made.printed
	case args[0] == "hisspoint":
		args = args[1:]
	case strings.HasPrefix(command, "go run ./cmd/hisspoint "):
		args = args[3:]
	default:
		t.Fatalf("%s is no command that can be run here", command)
	}
	var stdout, stderr strings.Builder
	code := program(args, strings.NewReader(""), &stdout, &stderr)
	require.NotEqual(t, exitTrouble, code, "%s: %s", command, stderr.String())
	return stdout.String()
}

// fits tells whether a text is what is wanted, where lines of ... stand for any.
func fits(want, got string) bool {
	var pattern strings.Builder
	pattern.WriteString(`(?s)^`)
	for _, l := range strings.SplitAfter(want, "\n") {
		if l == "...\n" {
			pattern.WriteString(`.*`)
		} else {
			pattern.WriteString(regexp.QuoteMeta(l))
		}
	}
	return regexp.MustCompile(pattern.String() + `$`).MatchString(got)
}

// The examples in the help name flags and commands that exist.
func TestHelpExamplesParse(t *testing.T) {
	a := &app{}
	for _, c := range a.root().Commands() {
		if c.Hidden || c.Name() == "help" || c.Name() == "completion" {
			continue
		}
		require.NotEmpty(t, c.Example, c.Name())
		for _, line := range strings.Split(c.Example, "\n") {
			var args []string
			for _, w := range shellWord.FindAllString(line, -1) {
				args = append(args, strings.Trim(w, `"`))
			}
			require.Equal(t, []string{"hisspoint", c.Name()}, args[:2], line)
			require.NoError(t, c.ParseFlags(args[2:]), line)
			require.NoError(t, c.ValidateArgs(c.Flags().Args()), line)
		}
	}
}
