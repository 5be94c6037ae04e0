// Package print is the one door through which texts go that came from outside: names
// of files and devices, what stands in a job, tags, errors that quote them. It makes
// them harmless to whoever shows them, and leaves a mark where something was.
package print

import (
	"bytes"
	"fmt"
	"io"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Mark stands for a character that is not shown.
const Mark = '\ufffd'

// mostMarks is how many characters that are drawn upon another one may follow it.
const mostMarks = 8

// Hidden tells whether a character commands a terminal or a viewer instead of being
// seen: control characters of ASCII and of ISO 6429 (C1), the direction of writing
// (Unicode Standard Annex 9: marks, embeddings, overrides, isolates), byte order marks,
// annotation and tag characters, and what is no character.
func Hidden(r rune) bool {
	switch {
	case unicode.IsControl(r), r == 0x61c, r == 0x200e, r == 0x200f, 0x202a <= r && r <= 0x202e, 0x2066 <= r && r <= 0x2069:
		return true
	case r == 0xfeff, 0xfff9 <= r && r <= 0xfffb, 0xe0000 <= r && r <= 0xe007f, r&0xfffe == 0xfffe, 0xfdd0 <= r && r <= 0xfdef:
		return true
	}
	return false
}

// Text is a text fit to be shown on one line: line ends and tabs are blanks, what is
// hidden or invalid UTF-8 is a Mark, and no character bears more than a few others.
// Everything else stays.
func Text(s string) string {
	drawn := 0
	return strings.Map(func(r rune) rune {
		if !unicode.Is(unicode.Mn, r) {
			drawn = 0
		} else if drawn++; drawn > mostMarks {
			return -1
		}
		switch {
		case r == '\n' || r == '\r' || r == '\t' || r == '\u2028' || r == '\u2029':
			return ' '
		case Hidden(r):
			return Mark
		}
		return r
	}, strings.ToValidUTF8(s, string(Mark)))
}

// Lines is a text that may have several lines and tabs, without what is hidden.
func Lines(s string) string {
	return strings.Map(func(r rune) rune {
		if r != '\n' && r != '\t' && Hidden(r) {
			return Mark
		}
		return r
	}, s) // which also marks invalid UTF-8
}

// Deep is a copy of a value in which every text is as Text makes it, however deep it lies.
func Deep[T any](v T) T {
	out := reflect.New(reflect.TypeFor[T]()).Elem()
	out.Set(reflect.ValueOf(v))
	deepen(out)
	return out.Interface().(T)
}

func deepen(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(Text(v.String()))
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				deepen(v.Field(i))
			}
		}
	case reflect.Slice:
		if v.IsNil() || v.Type().Elem().Kind() == reflect.Uint8 {
			return
		}
		c := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(c, v)
		for i := range c.Len() {
			deepen(c.Index(i))
		}
		v.Set(c)
	case reflect.Array:
		for i := range v.Len() {
			deepen(v.Index(i))
		}
	case reflect.Interface, reflect.Pointer:
		if v.IsNil() {
			return
		}
		c := reflect.New(v.Elem().Type())
		c.Elem().Set(v.Elem())
		deepen(c.Elem())
		if v.Kind() == reflect.Interface {
			c = c.Elem()
		}
		v.Set(c)
	}
}

// JSON is JSON in which hidden characters are escaped (RFC 8259, 7): the same values,
// and nothing in them commands a terminal.
func JSON(text []byte) []byte {
	var out bytes.Buffer
	for len(text) > 0 {
		r, n := utf8.DecodeRune(text)
		switch {
		case r < 0x7f || !Hidden(r) && r != 0x2028 && r != 0x2029:
			out.Write(text[:n])
		case r > 0xffff:
			r -= 0x10000
			fmt.Fprintf(&out, `\u%04x\u%04x`, 0xd800+r>>10, 0xdc00+r&0x3ff)
		default:
			fmt.Fprintf(&out, `\u%04x`, r)
		}
		text = text[n:]
	}
	return out.Bytes()
}

// Writer passes lines on and marks what is hidden in them; line ends and tabs pass.
type Writer struct{ W io.Writer }

// Write writes a text. One that ends within a character has a mark there.
func (w Writer) Write(b []byte) (int, error) {
	if _, err := io.WriteString(w.W, Lines(string(b))); err != nil {
		return 0, err
	}
	return len(b), nil
}
