package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// realVerb is a verb of package fmt that chooses the digits of a real number. A blank
// as its flag is left out: it stands in "95 % from".
var realVerb = regexp.MustCompile(`%[-+#0]*[0-9*]*(\.[0-9*]*)?[eEfFgGv]`)

// Numbers become text in reports/doc/say, where the interval decides the digits; counts
// may be written anywhere. That no other room imports strconv is a rule of its own.
func TestDigitsAreChosenInOneRoom(t *testing.T) {
	assert.Regexp(t, realVerb, "%.1f dB")
	assert.NotRegexp(t, realVerb, "%d of %8s, 95 % from 1 to 2 %")
	files := 0
	for _, room := range []string{".", "sheet", "report", "bench"} {
		paths, err := filepath.Glob(filepath.Join("..", "..", "reports", "doc", room, "*.go"))
		require.NoError(t, err)
		for _, path := range paths {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			files++
			set := token.NewFileSet()
			file, err := parser.ParseFile(set, path, nil, 0)
			require.NoError(t, err)
			ast.Inspect(file, func(n ast.Node) bool {
				if text, ok := n.(*ast.BasicLit); ok && text.Kind == token.STRING {
					assert.NotRegexp(t, realVerb, text.Value, set.Position(text.Pos()))
				}
				return true
			})
		}
	}
	assert.Greater(t, files, 20)
}
