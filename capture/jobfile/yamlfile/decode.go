package yamlfile

import (
	"errors"
	"reflect"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"hisspoint/capture/unit"
)

// Decoder is a type that reads itself from a node.
type Decoder interface{ DecodeNode(n *Node) error }

// MaxText is how many characters a text may have: a page of a report, closely typed.
const MaxText = 2000

// Text is text as typed: a bare 0417, a date or a serial of digits keeps every
// character.
type Text struct {
	Value string
	At    Pos
	Set   bool
}

// DecodeNode takes a scalar; nothing after the key counts as not set.
func (t *Text) DecodeNode(n *Node) error {
	if n.Kind == Mapping || n.Kind == Sequence {
		return n.Errorf("%s must be text, but here is %s: put text with : or , in quotes", label(n), n.found())
	}
	for _, r := range n.Text { // an escape such as \x1b would reach the terminal
		if unicode.IsControl(r) && r != '\n' && r != '\t' {
			return n.Errorf("%s holds the unprintable character U+%04X: delete it", label(n), r)
		}
	}
	if count := utf8.RuneCountInString(n.Text); count > MaxText {
		return n.Errorf("%s has %d characters, and %d are the most: shorten it", label(n), count, MaxText)
	}
	*t = Text{strings.TrimSpace(n.Text), n.At, n.Kind == Scalar}
	return nil
}

// Number is a plain number; a decimal comma is understood.
type Number struct {
	Value float64
	At    Pos
	Set   bool
}

// ErrNotPlain is the error of a text where a number is due.
var ErrNotPlain = errors.New("must be a plain number")

// DecodeNode takes a scalar that is a number; nothing after the key counts as not set.
func (v *Number) DecodeNode(n *Node) error {
	*v = Number{At: n.At}
	if n.Kind == Null {
		return nil
	}
	x, err := unit.ParseNumber(n.Text)
	if n.Kind != Scalar || err != nil {
		return n.Errorf("%s %w without unit, but here is %s", label(n), ErrNotPlain, n.found())
	}
	*v = Number{x, n.At, true}
	return nil
}

// Pointer is the number, or nil if it was not set.
func (v Number) Pointer() *float64 {
	if !v.Set {
		return nil
	}
	x := v.Value
	return &x
}

// Decode reads the node into a pointer to a struct, slice, map of text, or
// Decoder. Struct fields are named by their yaml tags; a field Pos of type Pos
// without tag receives the place. Keys without a field are errors.
func (n *Node) Decode(into any) error { return n.decode(reflect.ValueOf(into).Elem()) }

func (n *Node) decode(v reflect.Value) error {
	if d, ok := v.Addr().Interface().(Decoder); ok {
		return d.DecodeNode(n)
	}
	switch v.Kind() {
	case reflect.Pointer:
		if n.Kind == Null {
			return nil
		}
		v.Set(reflect.New(v.Type().Elem()))
		return n.decode(v.Elem())
	case reflect.Slice:
		return n.list(v)
	case reflect.Struct:
		return n.fields(v)
	}
	panic("yamlfile: no way to read into " + v.Type().String())
}

func (n *Node) list(v reflect.Value) error {
	if n.Kind == Null {
		return nil
	}
	if n.Kind != Sequence {
		return n.Errorf("%s must be a list, [ ... ] or lines that begin with a dash, but here is %s", label(n), n.found())
	}
	v.Set(reflect.MakeSlice(v.Type(), len(n.Items), len(n.Items)))
	for i, item := range n.Items {
		if err := item.decode(v.Index(i)); err != nil {
			return err
		}
	}
	return nil
}

func (n *Node) fields(v reflect.Value) error {
	if at := v.FieldByName("Pos"); at.IsValid() && at.Type() == reflect.TypeFor[Pos]() {
		at.Set(reflect.ValueOf(n.At))
	}
	if n.Kind == Null {
		return nil
	}
	known := KeysOf(v.Type())
	if n.Kind != Mapping {
		return n.Errorf("%s must have entries with keys (%s), but here is %s", label(n), strings.Join(known, ", "), n.found())
	}
	for _, k := range n.Keys {
		i := slices.Index(known, k.Name)
		if i < 0 {
			return n.unknown(k, known)
		}
		if err := k.Value.decode(v.Field(fieldOf(v.Type(), k.Name))); err != nil {
			return err
		}
	}
	return nil
}

// CutOff tells whether a key is the rest of a text that has a comma and no quotes.
func (n *Node) CutOff(k Key) error {
	if n.braces && k.Value.Kind == Null && k.Value.At == k.At {
		return n.ErrorAt(k.At, "%q is cut off from its entry by a comma: inside { } text with a comma needs quotes", Short(k.Name))
	}
	return nil
}

func (n *Node) unknown(k Key, known []string) error {
	if err := n.CutOff(k); err != nil {
		return err
	}
	if near := Nearest(k.Name, known); near != "" {
		return n.ErrorAt(k.At, "key %q is not known here: did you mean %q?", Short(k.Name), near)
	}
	return n.ErrorAt(k.At, "key %q is not known here: known are %s", Short(k.Name), strings.Join(known, ", "))
}

// KeysOf lists the keys that a struct type reads, in the order of its fields.
func KeysOf(t reflect.Type) []string {
	var keys []string
	for i := range t.NumField() {
		if key := t.Field(i).Tag.Get("yaml"); key != "" {
			keys = append(keys, key)
		}
	}
	return keys
}

// KeysOfType lists the keys that a struct type reads.
func KeysOfType[T any]() []string { return KeysOf(reflect.TypeFor[T]()) }

func fieldOf(t reflect.Type, key string) int {
	for i := range t.NumField() {
		if t.Field(i).Tag.Get("yaml") == key {
			return i
		}
	}
	return -1
}

func label(n *Node) string {
	if n.Name == "" {
		return "the file"
	}
	return n.Name
}

// Nearest is the known name that s was most likely meant to be, or "" if none
// is near: at most one edit in three letters, and never more than five.
func Nearest(s string, known []string) string {
	best, distance := "", min(5, 1+len(s)/3)+1
	for _, k := range known {
		if d := Edits(strings.ToLower(s), k, distance); d < distance {
			best, distance = k, d
		}
	}
	return best
}

// Edits is how many single bytes have to be inserted, deleted or replaced to turn a
// into b (Levenshtein), or most if it is not smaller.
func Edits(a, b string, most int) int {
	if len(a)-len(b) >= most || len(b)-len(a) >= most {
		return most
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return min(row[len(b)], most)
}
