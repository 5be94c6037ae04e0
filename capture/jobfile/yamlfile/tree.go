package yamlfile

import (
	"errors"
	"fmt"
	"strconv"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// builder makes nodes of the library's tree.
type builder struct{ *source }

// node makes a node. flow tells that braces or brackets are open around it.
func (b builder) node(n ast.Node, name string, depth int, flow bool) (*Node, error) {
	out := &Node{Name: name, source: b.source, Flow: flow}
	if n == nil {
		return out, nil
	}
	t := n.GetToken()
	out.At = place(t)
	out.stand(t, t)
	if depth > maxDepth {
		return nil, out.Errorf("is nested too deeply")
	}
	switch v := n.(type) {
	case *ast.NullNode:
		return out, nil
	case *ast.MappingNode:
		out.written(v.IsFlowStyle, v.Start, v.End)
		return out, b.mapping(out, v.Values, depth)
	case *ast.MappingValueNode:
		return out, b.mapping(out, []*ast.MappingValueNode{v}, depth)
	case *ast.SequenceNode:
		out.written(v.IsFlowStyle, v.Start, v.End)
		return out, b.sequence(out, v, depth)
	case *ast.LiteralNode:
		out.Kind, out.Text = Scalar, v.Value.Value
		out.stand(t, v.Value.GetToken())
		return out, nil
	case *ast.StringNode, *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		out.Kind, out.Text = Scalar, t.Value
		out.Plain = t.Type != token.SingleQuoteType && t.Type != token.DoubleQuoteType
		return out, nil
	}
	return nil, out.Errorf("is not readable as YAML here: check quotes and indentation")
}

func (b builder) sequence(out *Node, v *ast.SequenceNode, depth int) error {
	out.Kind, out.Indent = Sequence, out.At.Column-1
	for i, item := range v.Values {
		child, err := b.node(item, fmt.Sprintf("entry %d of %s", i+1, orList(out.Name)), depth+1, out.Flow)
		if err != nil {
			return err
		}
		if out.Items = append(out.Items, child); !out.braces {
			out.holds(child, v.Entries[i].Start, v.Entries[i].Start)
		}
	}
	return nil
}

func (b builder) mapping(out *Node, values []*ast.MappingValueNode, depth int) error {
	out.Kind = Mapping
	if len(values) > 0 {
		out.Indent = place(values[0].Key.GetToken()).Column - 1
	}
	seen := map[string]Pos{}
	for _, v := range values {
		t := v.Key.GetToken()
		key := Key{Name: t.Value, At: place(t)}
		if first, twice := seen[key.Name]; twice {
			return &Error{File: b.file, At: key.At, Text: fmt.Sprintf("key %q is there twice, first on line %d: keep one of them", Short(key.Name), first.Line)}
		}
		seen[key.Name] = key.At
		child, err := b.node(v.Value, key.Name, depth+1, out.Flow)
		if err != nil {
			return err
		}
		if child.Kind == Null {
			child.At = key.At
		}
		key.Value = child
		out.Keys = append(out.Keys, key)
		out.holds(child, t, v.Start)
	}
	if len(out.Keys) > 0 && !out.braces {
		out.At = out.Keys[0].At // the library gives the place of the first colon
	}
	return nil
}

func orList(name string) string {
	if name == "" {
		return "the list"
	}
	return name
}

// Errorf makes an error at the node's place.
func (n *Node) Errorf(format string, args ...any) error {
	return n.ErrorAt(n.At, format, args...)
}

// ErrorAt makes an error at another place of the node's file; what %w stands for can be
// asked for with errors.Is.
func (n *Node) ErrorAt(at Pos, format string, args ...any) error {
	err := fmt.Errorf(format, args...)
	return &Error{File: n.file, At: at, Text: err.Error(), cause: errors.Unwrap(err)}
}

// found says what a node is, for messages.
func (n *Node) found() string {
	switch n.Kind {
	case Mapping:
		return "entries with keys"
	case Sequence:
		return "a list"
	case Null:
		return "nothing"
	}
	return fmt.Sprintf("%q", Short(n.Text))
}

// Short is text cut to a length that fits into a message of one line.
func Short(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}

// Child is the value of a key, or the item of an index that is written as text; nil
// if there is none.
func (n *Node) Child(step string) *Node {
	if n == nil {
		return nil
	}
	if i, err := strconv.Atoi(step); err == nil && n.Kind == Sequence && i >= 0 && i < len(n.Items) {
		return n.Items[i]
	}
	for _, k := range n.Keys {
		if k.Name == step {
			return k.Value
		}
	}
	return nil
}
