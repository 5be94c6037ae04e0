// Package html writes a document as one HTML file that asks for nothing from
// outside and runs nothing: styles and pictures are inside, scripts there are
// none, and a policy in the page forbids both. It reads on a screen, light or
// dark, on a phone, and on paper.
package html

import (
	_ "embed"
	"encoding/base64"
	"fmt"
	"html"
	"io"
	"strings"

	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

//go:embed style.css
var style string

// Write renders a document. Text is shown as it was typed; invalid UTF-8 and
// control characters become U+FFFD.
func Write(w io.Writer, d doc.Document) error {
	p := &page{mark: d.Mark}
	language := d.Language
	if language == "" {
		language = "en"
	}
	p.raw("<!DOCTYPE html>\n<html lang=\"" + language + "\">\n<head>\n<meta charset=\"utf-8\"/>\n")
	p.raw("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:\"/>\n")
	p.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n")
	for _, m := range [][2]string{{"generator", d.Made}, {"description", d.About}, {"date", d.Issued}} {
		if m[1] != "" {
			p.raw("<meta name=\"" + m[0] + "\" content=\"" + escape(m[1]) + "\"/>\n")
		}
	}
	p.element("title", "", d.Title)
	p.raw("<style>\n" + style + "</style>\n</head>\n<body>\n<main>\n")
	p.section()
	if d.Picture != nil {
		kind, data := "png", d.Picture.PNG
		if d.Picture.SVG != nil {
			kind, data = "svg+xml", d.Picture.SVG
		}
		p.raw(`<img class="logo" alt="" src="data:image/` + kind + `;base64,` + base64.StdEncoding.EncodeToString(data) + "\"/>\n")
	}
	for i, l := range say.CleanLines(d.From) {
		p.element("p", []string{"from first", "from"}[min(i, 1)], l)
	}
	if d.Title != "" {
		p.element("h1", "", d.Title)
	}
	if d.Contents {
		p.contents(d.Blocks)
	}
	for _, b := range d.Blocks {
		p.block(b)
	}
	p.raw("</section>\n</main>\n</body>\n</html>\n")
	_, err := io.WriteString(w, p.b.String())
	return err
}

// page is written from top to bottom. Only raw writes what is not escaped, and
// it never gets a text that a person typed.
type page struct {
	b       strings.Builder
	mark    string
	heading string // the latest, by which a table without caption is named
	figures int
	parts   int
	within  bool // a part of the document has begun
}

func (p *page) raw(s string) { p.b.WriteString(s) }

func escape(s string) string { return html.EscapeString(say.Clean(s)) }

func (p *page) text(s string) { p.raw(escape(s)) }

func (p *page) open(tag, class string) {
	p.raw("<" + tag)
	if class != "" {
		p.raw(` class="` + class + `"`)
	}
	p.raw(">")
}

func (p *page) element(tag, class, text string) {
	p.open(tag, class)
	p.text(text)
	p.raw("</" + tag + ">\n")
}

func (p *page) section() {
	p.raw("<section>\n")
	if p.mark != "" {
		p.element("p", "mark", p.mark)
	}
}

// contents are links to the parts of a document.
func (p *page) contents(blocks []doc.Block) {
	p.raw("<nav aria-label=\"Contents\">\n<ul>\n")
	n := 0
	for _, b := range blocks {
		if h, is := b.(doc.Heading); is && h.Level == 0 {
			n++
			p.raw(fmt.Sprintf(`<li><a href="#part%d">`, n))
			p.text(h.Text)
			p.raw("</a></li>\n")
		}
	}
	p.raw("</ul>\n</nav>\n")
}

func (p *page) block(b doc.Block) {
	switch b := b.(type) {
	case doc.Heading:
		p.headingBlock(b)
	case doc.Paragraph:
		p.element("p", "", b.Text)
	case doc.List:
		p.list(b)
	case doc.Code:
		p.raw("<pre tabindex=\"0\">")
		for _, l := range b.Lines {
			p.text(l)
			p.raw("\n")
		}
		p.raw("</pre>\n")
	case doc.Table:
		p.table(b)
	case doc.Cards:
		p.cards(b)
	case doc.Curve:
		p.curve(b)
	case doc.Notes:
		p.notes(b)
	case doc.Answer:
		p.answer(b)
	case doc.Sign:
		p.raw("<div class=\"sign\">\n")
		for _, l := range b.Lines {
			p.element("p", "", l)
		}
		p.raw("</div>\n")
	}
}

func (p *page) headingBlock(h doc.Heading) {
	if h.Break {
		p.raw("</section>\n")
		p.section()
	}
	p.heading = h.Text
	level := 2 + min(1, h.Level)
	if !p.within { // no part has begun that this could be within
		level = 2
	}
	p.within = p.within || h.Level == 0
	tag := fmt.Sprintf("h%d", level)
	if h.Level == 0 {
		p.parts++
		p.raw(fmt.Sprintf(`<%s id="part%d">`, tag, p.parts))
	} else {
		p.open(tag, "")
	}
	p.text(h.Text)
	if h.Note != "" {
		p.raw(" ")
		p.element("small", "", h.Note)
	}
	p.raw("</" + tag + ">\n")
}

func (p *page) list(l doc.List) {
	tag := map[bool]string{false: "ul", true: "ol"}[l.Numbered]
	p.raw("<" + tag + ">\n")
	for _, item := range l.Items {
		p.element("li", "", item)
	}
	p.raw("</" + tag + ">\n")
}

func (p *page) cards(c doc.Cards) {
	p.raw("<ul class=\"cards\">\n")
	for _, k := range c.Items {
		p.open("li", string(k.Outcome))
		p.element("span", "label", k.Label)
		p.element("strong", "", k.Figure)
		if k.Verdict != "" {
			p.element("span", "badge", k.Verdict)
		}
		for _, l := range strings.Split(k.Note, "; ") {
			p.element("span", "note", l)
		}
		p.raw("</li>\n")
	}
	p.raw("</ul>\n")
}

func (p *page) notes(n doc.Notes) {
	p.raw("<ul class=\"notes\">\n")
	for _, item := range n.Items {
		p.raw("<li>")
		if item.Mark != "" {
			p.element("b", "", "Note "+item.Mark+":")
		}
		if item.Warning {
			p.element("b", "", "warning:")
		}
		p.text(item.Text)
		p.raw("</li>\n")
	}
	p.raw("</ul>\n")
}

func (p *page) answer(a doc.Answer) {
	if a.Lead {
		p.open("div", strings.TrimSpace("verdict "+string(a.Outcome)))
		if a.Verdict != "" {
			p.element("p", "word", a.Verdict)
		}
		for _, part := range a.Parts {
			p.element("p", "", part)
		}
		if a.Reason != "" {
			p.element("p", "why", a.Reason)
		}
		p.raw("</div>\n")
		return
	}
	p.open("p", strings.TrimSpace("answer "+string(a.Outcome)))
	p.text(strings.Join(a.Parts, "; "))
	if a.Verdict != "" {
		p.raw(" ")
		p.element("strong", "badge", a.Verdict)
	}
	p.raw("</p>\n")
	if a.Reason != "" {
		p.element("p", "why", a.Reason)
	}
}
