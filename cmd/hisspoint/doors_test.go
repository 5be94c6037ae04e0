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
	"Open": "capture/doors/read", "OpenFile": "capture/doors/read or capture/doors/write", "ReadFile": "capture/doors/read", "OpenInRoot": "capture/doors/read",
	"Create": "capture/doors/write", "CreateTemp": "capture/doors/write", "WriteFile": "capture/doors/write", "Rename": "capture/doors/write", "Remove": "capture/doors/write",
	"RemoveAll": "capture/doors/write", "Mkdir": "capture/doors/write", "MkdirAll": "capture/doors/write", "MkdirTemp": "capture/doors/write", "Link": "capture/doors/write",
	"Symlink": "capture/doors/write", "Truncate": "capture/doors/write", "Chmod": "capture/doors/write", "Chown": "capture/doors/write",
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
		case d.IsDir() && (strings.HasPrefix(rel, ".") && rel != "." || slices.Contains([]string{"capture/doors", "capture/fuzzing", "capture/smalldisk", "testdata"}, rel)):
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
