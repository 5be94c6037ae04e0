package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// stiff are turns of phrase that a person at the bench stumbles over, each with what to
// write instead.
var stiff = []struct{ pattern, write string }{
	{`\b(?:it |[^e] )is no (?:file|folder|job|recording|name|number|level|date)\b`, "is not a ..."},
	{`^is no (?:file|folder|job|recording|name|number|level|date)\b`, "is not a ..."},
	{`\bis told by\b`, "Hisspoint takes it from ..."},
	{`\bheld against (?:the limit|it)\b`, "compared with"},
	{`\bnone can be told\b`, "not comparable, unknown"},
	{`\bmay or may not\b`, "say what is known"},
	{`\bfor certain\b`, "leave it out"},
	{`\bbeyond its uncertainty\b`, "a real change"},
	{`\betc\b`, "name them"},
	{`\bShown (?:is|are)\b`, "This lists ..."},
	{`\bit is said\b`, "Hisspoint says, a warning says"},
	{`\bsomebody\b`, "you, a voice, another program"},
	{`\bhas come to be\b`, "was made"},
	{`\bis found out\b`, "Hisspoint works out"},
	{`\bthe latter\b`, "name it again"},
	{`\ball the same\b`, "leave it out"},
	{`\bnothing speaks against\b`, "no fault found"},
	{`\bis not stated, and\b`, "is not stated, so"},
	{`\bthat it was held against\b`, "it was tested against"},
	{`\bEnter when it is so\b`, "Press Enter when this is done"},
	{`\bUNDECIDED\b|\bNOT GIVEN\b|\bNOT RECORDED YET\b`, "NOT MEASURED, NOT FINISHED or TOO CLOSE TO CALL"},
}

// stiffIn are the phrases in a text, each with what to write.
func stiffIn(text string) (found []string) {
	for _, s := range stiff {
		if m := regexp.MustCompile(s.pattern).FindString(text); m != "" {
			found = append(found, strconv.Quote(m)+": write "+s.write)
		}
	}
	return found
}

// What people read is in plain words: every text of the program, the manual's pages and
// the two that stand beside it.
func TestWordsArePlain(t *testing.T) {
	root := filepath.Join("..", "..")
	texts := 0
	look := func(where, text string) {
		texts++
		assert.Empty(t, stiffIn(text), "%s: %.100q", where, text)
	}
	require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir():
			if name := d.Name(); name == ".git" || name == "testdata" || name == "node_modules" {
				return fs.SkipDir
			}
		case strings.HasSuffix(path, ".md") && d.Name() != "DEVELOPERS.md":
			b, err := os.ReadFile(path)
			look(path, string(b))
			return err
		case strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, "_test.go"):
			file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
			if err != nil {
				return err
			}
			ast.Inspect(file, func(n ast.Node) bool {
				if l, is := n.(*ast.BasicLit); is && l.Kind == token.STRING {
					text, err := strconv.Unquote(l.Value)
					require.NoError(t, err)
					look(path, text)
				}
				return true
			})
		}
		return nil
	}))
	assert.Greater(t, texts, 5000)
	assert.NotEmpty(t, stiffIn("rx.wav: is no file"))
	assert.Empty(t, stiffIn("there is no file in it"))
}

// Screens fit a terminal of 80 columns. An answer, with its limit, is one line where it goes
// into a file, and breaks before the limit on a terminal; --quiet writes a line a recording.
func TestScreensFit(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "..", "reports", "text", "testdata", "*.golden"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		b, err := os.ReadFile(file)
		require.NoError(t, err)
		if strings.HasSuffix(file, "-quiet.golden") {
			continue
		}
		answers := strings.ReplaceAll(string(b), "    limit ", "\n")
		for i, line := range strings.Split(colours.ReplaceAllString(answers, ""), "\n") {
			assert.LessOrEqual(t, utf8.RuneCountInString(line), 80, "%s:%d: %s", filepath.Base(file), i+1, line)
		}
	}
}

var colours = regexp.MustCompile("\x1b\\[[0-9;]*m")
