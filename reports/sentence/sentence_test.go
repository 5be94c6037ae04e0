package sentence

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/note"
)

// sources are the program's files that may hold notes, parsed.
func sources(t *testing.T, rooms ...string) map[string]*ast.File {
	t.Helper()
	all := map[string]*ast.File{}
	for _, room := range rooms {
		err := filepath.WalkDir(filepath.Join("..", "..", filepath.FromSlash(room)), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
			all[filepath.ToSlash(path)] = f
			return err
		})
		require.NoError(t, err)
	}
	return all
}

// A sentence that nobody says, or one without words, would be seen only when it is due.
func TestEverySentenceIsSaidAndHasWords(t *testing.T) {
	texts := map[string]bool{}
	for path, f := range sources(t, "analyze", "capture", "cmd") {
		ast.Inspect(f, func(n ast.Node) bool {
			switch x := n.(type) {
			case *ast.BasicLit:
				if s, err := strconv.Unquote(x.Value); err == nil && x.Kind == token.STRING {
					texts[s] = true
				}
			case *ast.CallExpr:
				if name, figures, ok := ofCall(x); ok {
					text, has := sentences[name]
					if assert.True(t, has, "%s: add %q to a table of reports/sentence", path, name) {
						assert.Equal(t, verbs(text), figures, "%s: figures of %q", path, name)
					}
				}
			}
			return true
		})
	}
	for name := range sentences {
		ending := name[strings.LastIndex(name, "-")+1:]
		assert.True(t, texts[name] || texts[strings.TrimSuffix(name, ending)], "%q is said nowhere: take it out", name)
	}
}

var verb = regexp.MustCompile(`%(\[[0-9]\])?[+]?[0-9.]*[a-z]`)

// verbs counts the figures that a sentence shows; one that is numbered may stand again.
func verbs(text string) int {
	shown := map[string]bool{}
	for i, v := range verb.FindAllString(strings.ReplaceAll(text, "%%", ""), -1) {
		if !strings.Contains(v, "[") {
			v += strconv.Itoa(i)
		}
		shown[v] = true
	}
	return len(shown)
}

// ofCall is a call of note.Of with a name written out, and how much it brings.
func ofCall(c *ast.CallExpr) (name string, figures int, ok bool) {
	f, is := c.Fun.(*ast.SelectorExpr)
	if !is || f.Sel.Name != "Of" || len(c.Args) == 0 || c.Ellipsis != token.NoPos {
		return "", 0, false
	}
	room, _ := f.X.(*ast.Ident)
	lit, _ := c.Args[0].(*ast.BasicLit)
	if room == nil || room.Name != "note" || lit == nil {
		return "", 0, false
	}
	name, err := strconv.Unquote(lit.Value)
	return name, len(c.Args) - 1, err == nil
}

// Each hint that a rule gives has its row.
func TestEveryHintHasItsRow(t *testing.T) {
	found := map[string]bool{}
	for _, f := range sources(t, "analyze/hint") {
		ast.Inspect(f, func(n ast.Node) bool {
			var key, value ast.Expr
			switch x := n.(type) {
			case *ast.KeyValueExpr:
				key, value = x.Key, x.Value
			case *ast.AssignStmt: // h.As = ...
				key, value = x.Lhs[0], x.Rhs[0]
			}
			name := ""
			if s, is := key.(*ast.SelectorExpr); is {
				key = s.Sel
			}
			if k, is := key.(*ast.Ident); is && (k.Name == "Name" || k.Name == "As") {
				if l, is := value.(*ast.BasicLit); is {
					name, _ = strconv.Unquote(l.Value)
					found[name] = true
				}
			}
			return true
		})
	}
	rows := map[string]bool{}
	for _, h := range Hints {
		rows[h.Name] = true
	}
	assert.Equal(t, rows, found)
}

// A name that stands in two rows would have the words of one of them.
func TestSentencesStandOnce(t *testing.T) {
	n := 0
	for _, w := range Warnings {
		n += len(w.Says)
		assert.Regexp(t, `^[A-Z].*\.$`, w.Means, w.Code)
		assert.Regexp(t, `^[A-Z].*\.$`, w.Do, w.Code)
	}
	for _, h := range Hints {
		for _, text := range []string{h.Text, h.First, h.Also} {
			assert.NotEmpty(t, text, h.Name)
		}
		assert.Equal(t, h, HintOf(h.Name, ""), "stands twice")
	}
	assert.Len(t, sentences, n+len(evidence)+len(remarks))
}

// Every code that a program may meet has a row, and one only.
func TestEveryWarningHasItsRow(t *testing.T) {
	rows := map[string]int{}
	for _, w := range Warnings {
		rows[string(w.Code)]++
	}
	f := sources(t, "capture")["../../capture/code.go"]
	require.NotNil(t, f)
	codes := 0
	ast.Inspect(f, func(n ast.Node) bool {
		if l, is := n.(*ast.BasicLit); is {
			codes++
			assert.Equal(t, `1`, strconv.Itoa(rows[strings.Trim(l.Value, `"`)]), l.Value)
		}
		return true
	})
	assert.Len(t, Warnings, codes)
}

func TestNotesInWords(t *testing.T) {
	assert.Empty(t, Of(note.Note{}))
	assert.Equal(t, "a: b", Of(note.Run("a", ": ", note.Phrase("b"))))
	assert.Equal(t, "a, b", Of(note.Joined(", ", []note.Note{note.Phrase("a"), note.Phrase("b")})))
	assert.Equal(t, "the phase of the tone jumps 4 times, at 1.000, 2.250, 3.000 ... s",
		Of(note.Of("phase-jumps-often", 4, note.Times{1, 2.25, 3, 4})))
	assert.Equal(t, "the monitor's curve does not reach 100, 200, 300, 400, 500, 600 Hz and 2 more: left out",
		Of(note.Of("monitor-curve", note.Tones{100, 200, 300, 400, 500, 600, 700, 800})))
	assert.Equal(t, "the samples are off zero by 2.50 % of full scale: it costs headroom; look for direct current at the input",
		Of(note.Of("dc-offset", note.Percent(2.5))))
}
