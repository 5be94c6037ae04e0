// Package pdf writes a document as PDF: A4 or letter, with embedded and
// subsetted fonts, vector curves, text that can be searched, bookmarks, and on
// every page which one it is of how many. The same document gives the same
// bytes.
package pdf

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"

	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// Papers that a document can be written for.
const (
	A4     = "a4"
	Letter = "letter"
)

// Check tells whether a paper is known; empty is A4.
func Check(paper string) error {
	if sizes[strings.ToLower(paper)] == "" {
		return fmt.Errorf("paper %q is not known: use %s or %s", paper, A4, Letter)
	}
	return nil
}

var sizes = map[string]string{"": "A4", A4: "A4", Letter: "Letter"}

// Write renders a document for a paper, A4 or Letter; empty is A4.
func Write(w io.Writer, d doc.Document, paper string) error {
	if err := Check(paper); err != nil {
		return err
	}
	size := sizes[strings.ToLower(paper)]
	// How many pages there are is known once they are set, so set them twice.
	first, err := set(d, size, 0)
	if err != nil {
		return err
	}
	last, err := set(d, size, first.f.PageCount())
	if err != nil {
		return err
	}
	if err := last.f.Output(w); err != nil {
		return fmt.Errorf("the PDF cannot be written: %w", err)
	}
	return nil
}

// Measures in points.
const (
	side, top, bottom = 51.0, 58.0, 54.0
	bodySize          = 9.5
	tableSize         = 8.2
	leading           = 1.36 // line height over font size
	family            = "sans"
)

type rgb struct{ r, g, b int }

var (
	ink   = rgb{0x1c, 0x22, 0x28}
	muted = rgb{0x50, 0x59, 0x63}
	rule  = rgb{0xc3, 0xcb, 0xd2}
	soft  = rgb{0xf1, 0xf4, 0xf6}
)

// tones are the colours of an outcome: of its word, and of the area behind it.
var tones = map[doc.Outcome][2]rgb{
	doc.Plain:   {ink, soft},
	doc.Good:    {{0x17, 0x63, 0x3a}, {0xe9, 0xf4, 0xed}},
	doc.Bad:     {{0x9c, 0x1c, 0x1c}, {0xfb, 0xec, 0xec}},
	doc.Unclear: {{0x6d, 0x4d, 0x00}, {0xfb, 0xf3, 0xdf}},
}

// setter sets a document page by page; y is where the next thing goes.
type setter struct {
	f             *fpdf.Fpdf
	d             doc.Document
	total         int
	width, height float64 // of the page
	y             float64
	fresh         bool                      // nothing stands on the page yet
	top, bottom   float64                   // margins
	size, body    float64                   // of the font that is set, and of running text
	runes         map[rune]float64          // widths in the font that is set, in its size
	widths        map[bool]map[rune]float64 // the same for regular and bold
}

func set(d doc.Document, size string, total int) (*setter, error) {
	f := fpdf.New("P", "pt", size, "")
	s := &setter{f: f, d: d, total: total, widths: map[bool]map[rune]float64{}, body: bodySize, top: top, bottom: bottom}
	if d.Dense {
		s.body, s.top, s.bottom = 7.6, top-8, bottom-10
	}
	f.SetCatalogSort(true)
	when, err := time.Parse(time.DateOnly, d.Issued)
	if err != nil {
		when = time.Unix(0, 0).UTC()
	}
	f.SetCreationDate(when)
	f.SetModificationDate(when)
	f.SetLang(languageOf(d))
	f.SetTitle(bmp(d.Title), true)
	f.SetSubject(bmp(d.About), true)
	f.SetAuthor(bmp(strings.Join(say.CleanLines(d.From), ", ")), true)
	f.SetCreator(bmp(d.Made), true)
	f.SetProducer(bmp(d.Made), true)
	f.SetXmpMetadata(xmp(d, when))
	f.AddUTF8FontFromBytes(family, "", liberationsansregular.TTF)
	f.AddUTF8FontFromBytes(family, "B", liberationsansbold.TTF)
	f.SetMargins(side, top, side)
	f.SetAutoPageBreak(false, 0)
	s.width, s.height = f.GetPageSize()
	s.page()
	s.front()
	for i := 0; i < len(d.Blocks); i++ {
		if d.Dense && i+1 < len(d.Blocks) && s.pair(d.Blocks[i], d.Blocks[i+1]) {
			i++
			continue
		}
		if h, is := d.Blocks[i].(doc.Heading); is {
			s.heading(h, d.Blocks[i+1:])
			continue
		}
		s.block(d.Blocks[i])
	}
	return s, f.Error()
}

// room is the width between the margins.
func (s *setter) room() float64 { return s.width - 2*side }

func (s *setter) end() float64 { return s.height - s.bottom }

func (s *setter) font(size float64, bold bool, c rgb) {
	style := ""
	if bold {
		style = "B"
	}
	if s.widths[bold] == nil {
		s.widths[bold] = map[rune]float64{}
	}
	s.runes, s.size = s.widths[bold], size
	s.f.SetFont(family, style, size)
	s.f.SetTextColor(c.r, c.g, c.b)
}

// page begins a page with what stands on all of them.
func (s *setter) page() {
	s.f.AddPage()
	n := s.f.PageNo()
	s.font(8, false, muted)
	foot := s.height - 30
	s.line(side, foot-11, s.width-side, foot-11, 0.4, rule)
	page, issued := s.d.Page, s.d.IssuedWord
	if page == "" {
		page, issued = "page %[1]d of %[2]d", "issued"
	}
	right := fmt.Sprintf(page, n, s.total)
	s.write(s.width-side-s.long(right), foot, right)
	s.write(side, foot, s.fit(joined(" \u00b7 ", s.d.Running, dated(issued, s.d.Issued), s.d.Made), s.room()-100))
	if n > 1 {
		s.write(side, 36, s.fit(s.d.Title, s.room()))
		s.line(side, 41, s.width-side, 41, 0.4, rule)
	}
	s.y = s.top
	if s.d.Mark != "" {
		s.markLine()
	}
	s.fresh = true
}

func dated(issued, date string) string {
	if date == "" {
		return ""
	}
	return issued + " " + date
}

// languageOf is that of a document's words.
func languageOf(d doc.Document) string {
	if d.Language == "" {
		return "en"
	}
	return d.Language
}

func joined(sep string, texts ...string) string {
	var all []string
	for _, t := range texts {
		if t != "" {
			all = append(all, t)
		}
	}
	return strings.Join(all, sep)
}

// markLine is the remark that belongs on every page, in a frame.
func (s *setter) markLine() {
	s.font(bodySize, true, tones[doc.Unclear][0])
	text := s.fit(s.d.Mark, s.room()-16)
	c := tones[doc.Unclear][0]
	s.f.SetDrawColor(c.r, c.g, c.b)
	s.f.SetLineWidth(1)
	s.f.SetDashPattern([]float64{4, 2}, 0)
	s.f.Rect(side, s.y-8, s.room(), 19, "D")
	s.f.SetDashPattern(nil, 0)
	s.write(side+8, s.y+5, text)
	s.y += map[bool]float64{true: 21, false: 26}[s.d.Dense]
}

// need begins a new page if less than h is left on this one.
func (s *setter) need(h float64) bool {
	if s.y+h <= s.end() || s.fresh {
		return false
	}
	s.page()
	return true
}

func (s *setter) line(x0, y0, x1, y1, width float64, c rgb) {
	s.f.SetDrawColor(c.r, c.g, c.b)
	s.f.SetLineWidth(width)
	s.f.Line(x0, y0, x1, y1)
}

func (s *setter) area(x, y, w, h float64, c rgb) {
	s.f.SetFillColor(c.r, c.g, c.b)
	s.f.Rect(x, y, w, h, "F")
}

// front is who issues the document, and its title.
func (s *setter) front() {
	s.picture()
	for i, l := range say.CleanLines(s.d.From) {
		s.text(l, side, s.room(), bodySize, i == 0, ink)
	}
	s.bookmark(s.d.Title, 0)
	s.y += 6
	s.text(s.d.Title, side, s.room(), 18, true, ink)
	s.y += 4
}

// picture is that of the letterhead, right of it.
func (s *setter) picture() {
	p := s.d.Picture
	if p == nil {
		return
	}
	const wide, high = 150.0, 42.0
	options := fpdf.ImageOptions{ImageType: "PNG"}
	s.f.RegisterImageOptionsReader("letterhead", options, bytes.NewReader(p.PNG))
	scale := min(wide/float64(p.Width), high/float64(p.Height))
	w, h := scale*float64(p.Width), scale*float64(p.Height)
	s.f.ImageOptions("letterhead", s.width-side-w, s.y-8, w, h, false, options, 0, "")
}

func (s *setter) bookmark(text string, level int) {
	s.f.Bookmark(bmp(text), level, s.y-s.body)
}
