package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// doored are the functions of package os that open files or change a disk, with the
// door through which that is done.
var doored = map[string]string{
	"Open": "doors/read", "OpenFile": "doors/read or doors/write", "ReadFile": "doors/read", "OpenInRoot": "doors/read",
	"Create": "doors/write", "CreateTemp": "doors/write", "WriteFile": "doors/write", "Rename": "doors/write", "Remove": "doors/write",
	"RemoveAll": "doors/write", "Mkdir": "doors/write", "MkdirAll": "doors/write", "MkdirTemp": "doors/write", "Link": "doors/write",
	"Symlink": "doors/write", "Truncate": "doors/write", "Chmod": "doors/write", "Chown": "doors/write",
}

// pastTheDoors are the calls in a Go file that go past the doors.
func pastTheDoors(t *testing.T, path string, source any) (found []string) {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), path, source, parser.SkipObjectResolution)
	require.NoError(t, err)
	ast.Inspect(file, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok && x.Name == "os" && doored[s.Sel.Name] != "" {
				found = append(found, "os."+s.Sel.Name+": goes through "+doored[s.Sel.Name])
			}
		}
		return true
	})
	return found
}

// Files are opened and written through the doors alone; helpers of tests, which no
// command uses, are free.
func TestFilesGoThroughTheDoors(t *testing.T) {
	root, seen := filepath.Join("..", ".."), 0
	require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		rel, _ := filepath.Rel(root, path)
		rel = filepath.ToSlash(rel)
		switch {
		case err != nil:
			return err
		case d.IsDir() && (strings.HasPrefix(rel, ".") && rel != "." || slices.Contains([]string{"doors", "capture/fuzzing", "capture/smalldisk", "testdata"}, rel)):
			return fs.SkipDir
		case d.IsDir() || !strings.HasSuffix(rel, ".go") || strings.HasSuffix(rel, "_test.go"):
			return nil
		}
		seen++
		assert.Empty(t, pastTheDoors(t, path, nil), rel)
		return nil
	}))
	assert.Greater(t, seen, 100)
}

func TestCallsPastTheDoorsAreFound(t *testing.T) {
	for name := range doored {
		assert.Len(t, pastTheDoors(t, "x.go", "package x\nimport \"os\"\nvar f = os."+name+"\n"), 1, name)
	}
	assert.Empty(t, pastTheDoors(t, "x.go", "package x\nimport \"os\"\nvar f = os.Stat\n"))
}
