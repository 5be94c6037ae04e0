package pdf

import (
	"fmt"
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font/sfnt"

	"hisspoint/reports/doc/say"
)

// glyphs tells what the font can show.
var glyphs = sync.OnceValues(func() (*sfnt.Font, error) { return sfnt.Parse(liberationsansregular.TTF) })

var (
	knownMutex sync.Mutex
	known      = map[rune]bool{}
)

func shows(r rune) bool {
	if r >= ' ' && r <= '~' {
		return true
	}
	if r > 0xffff { // the PDF's text is UCS-2
		return false
	}
	knownMutex.Lock()
	defer knownMutex.Unlock()
	is, has := known[r]
	if !has {
		font, err := glyphs()
		if err == nil {
			i, err := font.GlyphIndex(nil, r)
			is = err == nil && i != 0
		}
		known[r] = is
	}
	return is
}

// Lacks is the first character of a text that the PDF's fonts cannot show; ok is false if
// they show all.
func Lacks(text string) (lacking rune, ok bool) {
	for _, r := range say.Clean(text) {
		if r != '\ufffd' && !shows(r) {
			return r, true
		}
	}
	return 0, false
}

// printable is a text in which characters that the font lacks are named by
// their code point, so that nothing that was typed vanishes.
func printable(text string) string {
	var b strings.Builder
	for _, r := range say.Clean(text) {
		switch {
		case shows(r):
			b.WriteRune(r)
		case r == '\ufffd':
			b.WriteByte('?')
		default:
			fmt.Fprintf(&b, "[U+%04X]", r)
		}
	}
	return b.String()
}

// bmp is a text for bookmarks and metadata, which viewers show in fonts of
// their own.
func bmp(text string) string {
	return strings.Map(func(r rune) rune {
		if r > 0xffff {
			return '\ufffd'
		}
		return r
	}, say.Clean(text))
}

// visual puts runs that are read from right to left into the order in which
// they are drawn.
func visual(line string) string {
	rs := []rune(line)
	for i := 0; i < len(rs); i++ {
		if !rightToLeft(rs[i]) {
			continue
		}
		end := i
		for j := i; j < len(rs) && (rightToLeft(rs[j]) || !unicode.IsLetter(rs[j]) && !unicode.IsDigit(rs[j])); j++ {
			if rightToLeft(rs[j]) {
				end = j
			}
		}
		for a, b := i, end; a < b; a, b = a+1, b-1 {
			rs[a], rs[b] = rs[b], rs[a]
		}
		i = end
	}
	return string(rs)
}

func rightToLeft(r rune) bool {
	return unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko)
}

// long is how long a printable text is in the font that is set.
func (s *setter) long(text string) float64 {
	sum := 0.0
	for _, r := range text {
		w, has := s.runes[r]
		if !has {
			w = s.f.GetStringWidth(string(r)) / s.size
			s.runes[r] = w
		}
		sum += w
	}
	return sum * s.size
}

// wrap breaks printable text into lines no wider than room, in the font that is
// set: at spaces, and inside a word only if it is too long for a line.
func (s *setter) wrap(text string, room float64) []string {
	var lines []string
	line, used := "", 0.0
	space := s.long(" ")
	flush := func() { lines, line, used = append(lines, line), "", 0 }
	for _, word := range strings.Fields(text) {
		w := s.long(word)
		if used > 0 && used+space+w > room {
			flush()
		}
		if used > 0 {
			line, used = line+" "+word, used+space+w
			continue
		}
		if w <= room {
			line, used = word, w
			continue
		}
		for _, piece := range s.pieces(word, room) {
			if used > 0 {
				flush()
			}
			line, used = piece, s.long(piece)
		}
	}
	return append(lines, line)
}

// pieces cuts a word into parts that fit.
func (s *setter) pieces(word string, room float64) []string {
	var all []string
	var b strings.Builder
	used := 0.0
	for _, r := range word {
		w := s.long(string(r))
		if used > 0 && used+w > room {
			all = append(all, b.String())
			b.Reset()
			used = 0
		}
		b.WriteRune(r)
		used += w
	}
	return append(all, b.String())
}

// fit is the beginning of a text that fits into one line.
func (s *setter) fit(text string, room float64) string {
	const most = 1000 // bytes: more than any line holds
	cut := len(text) > most
	if cut {
		text = text[:most]
	}
	text = strings.Join(strings.Fields(printable(text)), " ")
	if !cut && s.long(text) <= room {
		return text
	}
	return s.pieces(text, room-s.long("..."))[0] + "..."
}

// text sets a text in as many lines as it takes.
func (s *setter) text(text string, x, room, size float64, bold bool, c rgb) {
	s.font(size, bold, c)
	for _, l := range s.wrap(printable(text), room) {
		if s.need(size * leading) {
			s.font(size, bold, c)
		}
		s.put(x, l, size)
		s.y += size * leading
	}
}

// put draws one line, whose box begins at y.
func (s *setter) put(x float64, line string, size float64) {
	s.write(x, s.y+size, line)
	s.fresh = false
}

// write sets one line on a base line.
func (s *setter) write(x, y float64, line string) { s.f.Text(x, y, visual(printable(line))) }
