package session

import (
	"strconv"
	"strings"

	"hisspoint/cmd/internal/live"
	"hisspoint/cmd/internal/page"
	"hisspoint/reports/doc/bench"
)

// onPage shows a desk's steps on the page. Each question is a step of its own, so that
// what is pressed for one answers no other.
type onPage struct {
	server *page.Server // nil: there is none
	source string
	step   int
	last   live.Beat
}

func (p *onPage) next() { p.step++ }

// pressed gives each Enter of the page.
func (p *onPage) pressed() <-chan string {
	if p.server == nil {
		return nil
	}
	return p.server.Pressed
}

// typed tells whether a question wants a word, which is typed at the program alone.
func typed(prompt string) bool { return strings.HasPrefix(prompt, "type ") }

// show shows a step ten times a second, with Enter where the page may answer it.
func (p *onPage) show(feed *live.Feed, title string, text []string, prompt string, enter bool, of string) {
	if p.server == nil || !p.last.Due(strconv.Itoa(p.step)+prompt) {
		return
	}
	w, heard := feed.Latest()
	panel := bench.RecordPanel(title, p.source, append(text[:len(text):len(text)], "", prompt), w, heard, prompt, "")
	panel.Say, panel.Page = title, of
	var buttons []page.Button
	if enter {
		buttons = []page.Button{{Do: "enter", Label: "Enter"}}
	}
	p.server.Show(panel, strconv.Itoa(p.step), buttons...)
}
