package pdf

import (
	"strings"

	"hisspoint/reports/curve"
	"hisspoint/reports/doc"
)

func (s *setter) block(b doc.Block) {
	switch b := b.(type) {
	case doc.Paragraph:
		s.y += 3
		s.text(b.Text, side, s.room(), s.body, false, ink)
		s.y += 3
	case doc.List:
		for _, item := range b.Items {
			s.item("\u2022", item, ink)
		}
	case doc.Table:
		s.table(b)
	case doc.Cards:
		s.cards(b)
	case doc.Curve:
		s.curve(b)
	case doc.Notes:
		s.notes(b)
	case doc.Answer:
		s.answer(b)
	case doc.Sign:
		s.sign(b)
	}
}

// headingSize is that of a heading's letters, and of the room above it.
func (s *setter) headingSize(h doc.Heading) (size, above float64) {
	size, above = 12.5, 12
	if h.Level > 0 {
		size, above = 10.5, 10
	}
	if s.d.Dense {
		size, above = size-2, above-6
	}
	return size, above
}

// begins is the room that the beginning of what follows takes, so that a heading stands
// on its page: headings with what follows them, a picture whole, a table's first row.
func (s *setter) begins(blocks []doc.Block) float64 {
	if len(blocks) == 0 {
		return 0
	}
	switch b := blocks[0].(type) {
	case doc.Heading:
		size, above := s.headingSize(b)
		return above + size*leading + 16 + s.begins(blocks[1:])
	case doc.Curve:
		return s.pictureHeight() + 40
	case doc.Table:
		return s.beginsTable(b)
	}
	return map[bool]float64{true: 45, false: 90}[s.d.Dense]
}

// heading keeps the beginning of what follows on its page.
func (s *setter) heading(h doc.Heading, after []doc.Block) {
	size, above := s.headingSize(h)
	if h.Break && !s.fresh {
		s.page()
		size = 15
	}
	s.need(above + size*leading + 16 + s.begins(after))
	if !s.fresh {
		s.y += above
	}
	s.bookmark(h.Text, min(1, h.Level))
	s.text(h.Text, side, s.room(), size, true, ink)
	if h.Note != "" {
		s.text(h.Note, side, s.room(), s.body-1, false, muted)
	}
	s.y += 3
}

// item is a text with a mark before it.
func (s *setter) item(mark, text string, c rgb) {
	s.need(s.body * leading)
	s.font(s.body, false, c)
	mark = s.fit(mark, s.room()/4)
	s.put(side+2, mark, s.body)
	indent := max(12, s.long(mark)+8)
	s.text(text, side+indent, s.room()-indent, s.body, false, c)
	s.y++
}

func (s *setter) notes(n doc.Notes) {
	s.y += 2
	for _, item := range n.Items {
		text, mark := item.Text, item.Mark
		if item.Warning {
			text = "warning: " + text
		}
		if mark != "" {
			mark = "note " + mark
		} else {
			mark = "\u2022"
		}
		s.item(mark, text, muted)
	}
}

func (s *setter) answer(a doc.Answer) {
	tone := tones[a.Outcome]
	if !a.Lead {
		s.need(30)
		s.y += 4
		y := s.y
		page := s.f.PageNo()
		s.text(joined("; ", append(append([]string{}, a.Parts...), a.Verdict)...), side+9, s.room()-9, s.body, true, tone[0])
		if s.f.PageNo() == page {
			s.area(side, y, 3, s.y-y, tone[0])
		}
		if a.Reason != "" {
			s.text(a.Reason, side+9, s.room()-9, s.body, false, muted)
		}
		return
	}
	const inset = 14.0
	s.font(s.body+0.5, false, ink)
	lines := s.wrap(printable(strings.Join(a.Parts, " ")), s.room()-2*inset)
	if a.Reason != "" {
		lines = append(lines, s.wrap(printable(a.Reason), s.room()-2*inset)...)
	}
	const most = 30
	if len(lines) > most { // somebody typed a novel; it stands whole on the pages behind
		lines = append(lines[:most], "...")
	}
	h := 16 + float64(len(lines))*(s.body+0.5)*leading
	if a.Verdict != "" {
		h += 24
	}
	s.need(h)
	s.y += 8
	s.area(side, s.y, s.room(), h, tone[1])
	s.area(side, s.y, 5, h, tone[0])
	after := s.y + h
	s.y += 7
	if a.Verdict != "" {
		s.font(19, true, tone[0])
		s.put(side+inset, s.fit(a.Verdict, s.room()-2*inset), 19)
		s.y += 25
	}
	s.font(s.body+0.5, false, ink)
	for _, l := range lines {
		s.put(side+inset, l, s.body+0.5)
		s.y += (s.body + 0.5) * leading
	}
	s.y = after + 8
}

// cards stand side by side, as high as the highest of them.
func (s *setter) cards(c doc.Cards) {
	const gap, inset = 9.0, 9.0
	const across = 3
	for len(c.Items) > across {
		s.cards(doc.Cards{Items: c.Items[:across]})
		c.Items = c.Items[across:]
	}
	n := float64(len(c.Items))
	if n == 0 {
		return
	}
	w := (s.room() - gap*(n-1)) / n
	type line struct {
		text string
		size float64
		bold bool
		c    rgb
	}
	cards, high := make([][]line, len(c.Items)), 0.0
	for i, k := range c.Items {
		h := 0.0
		add := func(text string, size float64, bold bool, c rgb) {
			s.font(size, bold, c)
			lines := s.wrap(printable(text), w-2*inset)
			for _, l := range lines[:min(len(lines), 12)] {
				cards[i] = append(cards[i], line{l, size, bold, c})
				h += size * leading
			}
		}
		tone := tones[k.Outcome][0]
		add(k.Label, 8.5, false, muted)
		add(k.Figure, 13.5, true, ink)
		if k.Verdict != "" {
			add(k.Verdict, 9.5, true, tone)
		}
		add(k.Note, 8.5, false, muted)
		high = max(high, h)
	}
	high += 15
	s.need(high)
	y := s.y
	for i := range c.Items {
		x := side + float64(i)*(w+gap)
		s.f.SetDrawColor(rule.r, rule.g, rule.b)
		s.f.SetLineWidth(0.6)
		s.f.Rect(x, y, w, high, "D")
		s.area(x, y, w, 3, tones[c.Items[i].Outcome][0])
		s.y = y + 8
		for _, l := range cards[i] {
			s.font(l.size, l.bold, l.c)
			s.put(x+inset, l.text, l.size)
			s.y += l.size * leading
		}
	}
	s.y = y + high + 8
}

func (s *setter) sign(b doc.Sign) {
	if len(b.Lines) == 0 {
		return
	}
	const gap = 24.0
	s.need(44)
	s.y = max(s.y+26, min(s.end()-40, s.y+90))
	w := (s.room() - gap*float64(len(b.Lines)-1)) / float64(len(b.Lines))
	s.font(8.5, false, muted)
	for i, l := range b.Lines {
		x := side + float64(i)*(w+gap)
		s.line(x, s.y, x+w, s.y, 0.7, ink)
		s.write(x, s.y+11, s.fit(l, w))
	}
	s.y += 20
}

func (s *setter) curve(c doc.Curve) {
	if len(c.Traces) == 0 {
		return
	}
	s.need(s.pictureHeight() + 40)
	s.y += 6
	s.pictureIn(c, side, s.room(), s.pictureHeight())
}

func (s *setter) pictureHeight() float64 { return map[bool]float64{true: 126, false: 225}[s.d.Dense] }

// pictureIn draws a curve with its title into a column of the page.
func (s *setter) pictureIn(c doc.Curve, x, room, high float64) {
	if title := joined(" ", c.Title, bracketed(c.Note)); title != "" {
		s.font(s.body, true, ink)
		lines := s.wrap(printable(title), room)
		for _, l := range lines[:min(len(lines), 2)] {
			s.put(x, l, s.body)
			s.y += s.body * leading
			high -= s.body * leading
		}
		high += s.body * leading
		s.y += 3
	}
	curve.Draw(&pen{s, x, s.y}, c, room, high)
	s.fresh = false
	s.y += high + 8
}

func bracketed(text string) string {
	if text == "" {
		return ""
	}
	return "(" + text + ")"
}

// pair sets two pictures side by side; false if these are not two.
func (s *setter) pair(a, b doc.Block) bool {
	left, is := a.(doc.Curve)
	right, too := b.(doc.Curve)
	if !is || !too || len(left.Traces) == 0 || len(right.Traces) == 0 {
		return false
	}
	const gap, high = 16.0, 132.0
	w := (s.room() - gap) / 2
	s.need(high + 40)
	s.y += 6
	y := s.y
	s.pictureIn(left, side, w, high)
	s.y = y
	s.pictureIn(right, side+w+gap, w, high)
	return true
}
