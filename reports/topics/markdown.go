package topics

import (
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	east "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/text"

	"hisspoint/reports/doc"
)

// blocks are the parts of a page: headings, paragraphs, lists without lists in them,
// code and tables. A page with anything else fails its test.
func blocks(source []byte) (out []doc.Block) {
	root := goldmark.New(goldmark.WithExtensions(extension.Table)).Parser().Parse(text.NewReader(source))
	for n := root.FirstChild(); n != nil; n = n.NextSibling() {
		if b := block(n, source); b != nil {
			out = append(out, b)
		}
	}
	return out
}

func block(n ast.Node, source []byte) doc.Block {
	switch n := n.(type) {
	case *ast.Heading:
		return doc.Heading{Text: plain(n, source), Level: 1}
	case *ast.Paragraph:
		return doc.Paragraph{Text: plain(n, source)}
	case *ast.List:
		l := doc.List{Numbered: n.IsOrdered()}
		for item := n.FirstChild(); item != nil; item = item.NextSibling() {
			l.Items = append(l.Items, plain(item, source))
		}
		return l
	case *ast.FencedCodeBlock:
		c := doc.Code{Kind: string(n.Language(source))}
		for i := range n.Lines().Len() {
			at := n.Lines().At(i)
			c.Lines = append(c.Lines, strings.TrimRight(string(at.Value(source)), "\n"))
		}
		return c
	case *east.Table:
		return table(n, source)
	}
	return nil
}

// table is one whose first row is its heads.
func table(n *east.Table, source []byte) doc.Table {
	var t doc.Table
	for row := n.FirstChild(); row != nil; row = row.NextSibling() {
		var cells []string
		for c := row.FirstChild(); c != nil; c = c.NextSibling() {
			cells = append(cells, plain(c, source))
		}
		if _, head := row.(*east.TableHeader); head {
			for i, h := range cells {
				t.Columns = append(t.Columns, doc.Column{Head: h, Align: aligned(n.Alignments[i])})
			}
			continue
		}
		t.Rows = append(t.Rows, cells)
	}
	return t
}

func aligned(a east.Alignment) doc.Align {
	if a == east.AlignRight {
		return doc.Right
	}
	return doc.Left
}

// plain is the plain text of a node: code, emphasis and links by what they hold.
func plain(n ast.Node, source []byte) string {
	var b strings.Builder
	_ = ast.Walk(n, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if t, ok := n.(*ast.Text); ok && entering {
			b.Write(t.Segment.Value(source))
			if t.SoftLineBreak() || t.HardLineBreak() {
				b.WriteByte(' ')
			}
		}
		return ast.WalkContinue, nil
	})
	return unescaped.Replace(strings.TrimSpace(b.String()))
}

var unescaped = strings.NewReplacer(`\|`, "|", `\_`, "_", `\*`, "*")
