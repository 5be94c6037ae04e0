package job

import (
	"go/ast"
	"go/parser"
	"go/token"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every name of a figure has a row, and every row says what people call it.
func TestFiguresAreWhole(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "figures.go", nil, 0)
	require.NoError(t, err)
	named := 0
	ast.Inspect(file, func(n ast.Node) bool {
		v, ok := n.(*ast.ValueSpec)
		if !ok || len(v.Values) != 1 || v.Names[0].Name == "FigureLeast" {
			return true
		}
		if text, ok := v.Values[0].(*ast.BasicLit); ok {
			name, err := strconv.Unquote(text.Value)
			require.NoError(t, err)
			assert.NotEmpty(t, LabelOf(name), `%s has no name for people: add {Name: %s, Label: "..."} to figures`, name, v.Names[0].Name)
			named++
		}
		return true
	})
	assert.Greater(t, named, 50)
	seen := map[string]bool{}
	for _, f := range figures {
		assert.False(t, seen[f.Name], f.Name)
		seen[f.Name] = true
		assert.False(t, seen["label "+f.Label], "two figures are called %s", f.Label)
		seen["label "+f.Label] = true
		assert.NotEmpty(t, f.Label, `%s has no name for people: add Label: "..." to its row`, f.Name)
		assert.Equal(t, strings.ToLower(f.Name), f.Name)
	}
}
