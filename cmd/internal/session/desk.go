package session

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"hisspoint/cmd/internal/fullscreen"
	"hisspoint/cmd/internal/live"
	"hisspoint/cmd/internal/page"
	"hisspoint/reports/doc/bench"
	"hisspoint/reports/panel"
)

// errStopped ends a session that the person stops.
var errStopped = errors.New("stopped")

// desk is how record talks with the person at the bench.
type desk interface {
	// ask shows a text and waits for an answer; ready, if there is one, answers with
	// Enter by itself once it says so.
	ask(title string, text []string, prompt string, ready func() bool) (string, error)
	// wait shows a text and what goes on until done gives its error.
	wait(title string, text []string, doing func() string, done <-chan error) error
	close()
}

// lineDesk asks on lines, for a pipe and for a terminal that cannot do more.
type lineDesk struct {
	lines <-chan string // closed when no more come
	out   io.Writer
	stop  <-chan struct{}
	feed  *live.Feed
	page  onPage
}

func newLineDesk(in io.Reader, out io.Writer, feed *live.Feed, stop <-chan struct{}, p onPage) *lineDesk {
	lines := make(chan string)
	go func() {
		defer close(lines)
		r := bufio.NewReader(in)
		for {
			line, err := r.ReadString('\n')
			if err == nil || line != "" {
				lines <- strings.TrimSpace(line)
			}
			if err != nil {
				return
			}
		}
	}()
	return &lineDesk{lines: lines, out: out, stop: stop, feed: feed, page: p}
}

func (d *lineDesk) ask(title string, text []string, prompt string, ready func() bool) (string, error) {
	fmt.Fprintf(d.out, "\n%s\n", title)
	for _, l := range text {
		fmt.Fprintf(d.out, "  %s\n", l)
	}
	fmt.Fprintf(d.out, "%s ", prompt)
	defer fmt.Fprintln(d.out)
	tick := time.NewTicker(20 * time.Millisecond)
	defer tick.Stop()
	d.page.next()
	for {
		d.page.show(d.feed, title, text, prompt, !typed(prompt), "")
		select {
		case <-d.page.pressed():
			return "", nil
		case line, more := <-d.lines:
			if !more {
				return "", errStopped
			}
			return line, nil
		case <-d.stop:
			return "", errStopped
		case <-d.feed.Gone():
			return "", d.feed.Err()
		case <-tick.C:
			if ready != nil && ready() {
				return "", nil
			}
		}
	}
}

func (d *lineDesk) wait(title string, text []string, doing func() string, done <-chan error) error {
	fmt.Fprintf(d.out, "%s: %s\n", title, doing())
	tick := time.NewTicker(100 * time.Millisecond)
	defer tick.Stop()
	for {
		d.page.show(d.feed, title, text, doing(), false, "")
		select {
		case err := <-done:
			return err
		case <-d.stop:
			return errStopped
		case <-tick.C:
		}
	}
}

func (d *lineDesk) close() {}

// screenDesk asks on a full screen with a live reading.
type screenDesk struct {
	screen *fullscreen.Screen
	feed   *live.Feed
	source string
	color  bool
	stop   <-chan struct{}
	page   onPage
}

func newScreenDesk(t Terminal, feed *live.Feed, source string, stop <-chan struct{}, p *page.Server) (*screenDesk, error) {
	s, err := fullscreen.Open(t.In, t.Out)
	if err != nil {
		return nil, err
	}
	return &screenDesk{screen: s, feed: feed, source: source, color: t.Color, stop: stop, page: onPage{server: p, source: source}}, nil
}

func (d *screenDesk) close() { d.screen.Close() }

// shown is what stands on the screen: a text of which one part is shown.
type shown struct {
	title, prompt, answer string
	text                  []string
	page                  int
	waits                 bool // nothing is asked
}

// paint shows it and tells whether more of the text follows.
func (d *screenDesk) paint(s *shown) (more bool, err error) {
	width, height := d.screen.Size()
	o := panel.Options{Width: width, Height: height, Color: d.color}
	w, heard := d.feed.Latest()
	prompt := s.prompt
	pages := panel.Pages(s.text, prompt, o)
	if len(pages) > 1 && s.page < len(pages)-1 {
		prompt = "Enter: the next page"
	}
	s.page = min(s.page, len(pages)-1)
	p := bench.RecordPanel(s.title, d.source, pages[s.page], w, heard, prompt, s.answer)
	if len(pages) > 1 {
		p.Page = fmt.Sprintf("%d of %d", s.page+1, len(pages))
	}
	d.page.show(d.feed, s.title, pages[s.page], prompt, !s.waits && !typed(prompt), p.Page)
	return s.page < len(pages)-1, d.screen.Paint(panel.Render(p, o))
}

// ask turns the pages of a text with Enter, and up again; an answer is taken on the last
// alone, so that what is asked was on the screen.
func (d *screenDesk) ask(title string, text []string, prompt string, ready func() bool) (string, error) {
	s := shown{title: title, text: text, prompt: prompt}
	d.page.next()
	tick := time.NewTicker(100 * time.Millisecond)
	defer tick.Stop()
	for {
		more, err := d.paint(&s)
		if err != nil {
			return "", err
		}
		select {
		case <-d.stop:
			return "", errStopped
		case <-d.feed.Gone():
			return "", d.feed.Err()
		case <-tick.C:
			if ready != nil && !more && s.answer == "" && ready() {
				return "", nil
			}
		case <-d.page.pressed():
			d.page.next()
			if !more {
				return "", nil
			}
			s.page++
		case k, open := <-d.screen.Keys():
			d.page.next()
			switch {
			case !open || k.Name == fullscreen.Interrupt:
				return "", errStopped
			case k.Name == fullscreen.Up:
				s.page = max(0, s.page-1)
			case more && (k.Name == fullscreen.Enter || k.Name == fullscreen.Down):
				s.page++
			case more:
			case k.Name == fullscreen.Enter:
				return strings.TrimSpace(s.answer), nil
			case k.Name == fullscreen.Escape:
				s.answer = ""
			case k.Name == fullscreen.Backspace:
				r := []rune(s.answer)
				s.answer = string(r[:max(0, len(r)-1)])
			case k.Rune != 0:
				s.answer += string(k.Rune)
			}
		}
	}
}

func (d *screenDesk) wait(title string, text []string, doing func() string, done <-chan error) error {
	tick := time.NewTicker(100 * time.Millisecond)
	defer tick.Stop()
	for {
		if _, err := d.paint(&shown{title: title, text: text, prompt: doing(), waits: true}); err != nil {
			return err
		}
		select {
		case err := <-done:
			return err
		case <-d.stop:
			return errStopped
		case k, open := <-d.screen.Keys():
			if !open || k.Name == fullscreen.Interrupt {
				return errStopped
			}
		case <-tick.C:
		}
	}
}
