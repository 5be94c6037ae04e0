package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"golang.org/x/term"

	"hisspoint/analyze"
	"hisspoint/cmd/internal/fullscreen"
	"hisspoint/cmd/internal/live"
	"hisspoint/cmd/internal/page"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/bench"
	"hisspoint/reports/panel"
)

// timeConstants are what + and - go through, in seconds.
var timeConstants = []float64{0.1, 0.2, 0.5, 1, 2, 5}

// watching is the state of a watch on a terminal.
type watching struct {
	a      *app
	w      *live.Watch
	screen *fullscreen.Screen
	folder string // where marks are kept
	aim    string
	now    reports.Watch
	heard  bool
	state  bench.WatchState
	marked reports.Watch
	page   *page.Server // nil: none
	cover  []string     // where the page is, until a key is pressed

	saidUntil time.Time
	after     func(reports.Watch) error // log and beep
}

// terminals are input and output, if both are one.
func (a *app) terminals() (in, out *os.File, ok bool) {
	in, isFile := a.stdin.(*os.File)
	if !a.screen.terminal || !isFile || !term.IsTerminal(int(in.Fd())) {
		return nil, nil, false
	}
	return in, os.Stdout, true
}

// watchScreen paints every reading until a key, a signal or a fault ends it. The
// terminal is given back before anything is said of how it ended.
func (s *watching) watchScreen(in, out *os.File, frames int64) error {
	sc, err := fullscreen.Open(in, out)
	if err != nil {
		return err
	}
	defer sc.Close()
	s.screen = sc
	stop, done := live.Stopped()
	defer done()
	quit, readings, ended := make(chan struct{}), make(chan reports.Watch), make(chan error, 1)
	go func() {
		defer caught(ended)
		ended <- s.w.Run(quit, frames, func(r reports.Watch) error {
			select {
			case readings <- r:
			case <-quit:
			}
			return nil
		})
	}()
	defer close(quit)
	return s.loop(stop, readings, ended)
}

// caught turns a panic of a goroutine into an error, so that the terminal is
// given back before it is said.
func caught(ended chan<- error) {
	if p := recover(); p != nil {
		ended <- fmt.Errorf("a fault in hisspoint itself: %v", p)
	}
}

func (s *watching) loop(stop <-chan struct{}, readings <-chan reports.Watch, ended <-chan error) error {
	tick := time.NewTicker(200 * time.Millisecond) // for a new size of the window
	defer tick.Stop()
	for {
		if err := s.paint(); err != nil {
			return err
		}
		select {
		case <-stop:
			return nil
		case err := <-ended:
			return err
		case r := <-readings:
			if err := s.after(r); err != nil {
				return err
			}
			s.take(r)
		case what := <-s.pressed():
			s.press(what)
			s.show()
		case k, open := <-s.screen.Keys():
			if !open || s.key(k) {
				return nil
			}
			s.show()
		case <-tick.C:
		}
	}
}

func (s *watching) paint() error {
	width, height := s.screen.Size()
	p := bench.WatchPanel(s.now, s.state)
	if !s.heard {
		p = doc.Panel{Title: "waiting for sound", Source: s.state.Source}
	}
	if s.cover != nil {
		p = doc.Panel{Title: "the page on a phone", Source: s.state.Source, Text: s.cover, Prompt: "any key goes on:"}
	}
	return s.screen.Paint(panel.Render(p, panel.Options{Width: width, Height: height, Color: s.a.screen.color}))
}

// key does what a key asks for and tells whether to end.
func (s *watching) key(k fullscreen.Key) (quit bool) {
	if k.Name == fullscreen.Interrupt {
		return true
	}
	if s.cover != nil {
		s.cover = nil
		return false
	}
	if s.state.Prompt != "" {
		s.answer(k)
		return false
	}
	s.state.Said = ""
	switch {
	case k.Rune == 'q':
		return true
	case k.Rune == 'b':
		s.w.Forget()
		s.say("a new best begins", time.Second)
	case k.Rune == 'h':
		s.state.Held = !s.state.Held
	case k.Rune == 'm' && s.heard:
		s.marked, s.state.Prompt, s.state.Answer = s.now, "note to this reading:", ""
	case k.Rune == 'a':
		i := slices.Index(analyze.Aims, s.aim)
		s.aim = analyze.Aims[(i+1)%len(analyze.Aims)]
		s.w.Aim(s.aim)
	case k.Rune == '+' || k.Rune == '=' || k.Name == fullscreen.Up:
		s.step(1)
	case k.Rune == '-' || k.Name == fullscreen.Down:
		s.step(-1)
	}
	return false
}

// step goes to the next longer or shorter time constant.
func (s *watching) step(by int) {
	i, found := slices.BinarySearch(timeConstants, s.state.Seconds)
	if !found && by > 0 {
		i--
	}
	s.state.Seconds = timeConstants[min(max(0, i+by), len(timeConstants)-1)]
	s.w.SetSeconds(s.state.Seconds)
}

// say tells what was done, for so long.
func (s *watching) say(text string, during time.Duration) {
	s.state.Said, s.saidUntil = text, time.Now().Add(during)
}

// mark keeps a reading.
func (s *watching) mark(r reports.Watch, note string) {
	if err := live.Mark(s.folder, time.Now(), strings.TrimSpace(bench.WatchLine(r)), oneLine(note)); err != nil {
		s.say("not marked: "+err.Error(), 10*time.Second)
		return
	}
	s.say("marked in "+live.MarksName, 3*time.Second)
}

// answer takes a key of a note that is being typed.
func (s *watching) answer(k fullscreen.Key) {
	switch {
	case k.Name == fullscreen.Enter:
		s.state.Prompt = ""
		s.mark(s.marked, s.state.Answer)
	case k.Name == fullscreen.Escape:
		s.state.Prompt = ""
	case k.Name == fullscreen.Backspace:
		r := []rune(s.state.Answer)
		s.state.Answer = string(r[:max(0, len(r)-1)])
	case k.Rune != 0:
		s.state.Answer += string(k.Rune)
	}
}

// watchAfter is what is done with every reading besides showing it.
func (f *watchFlags) watchAfter(in *live.Opened) (after func(reports.Watch) error, done func(), err error) {
	var beeper *live.Beeper
	if f.beep {
		if beeper, err = live.NewBeeper(in.Card, in.Device(), f.beepOn); err != nil {
			return nil, nil, err
		}
	} else if f.beepOn != "" {
		return nil, nil, errors.New("--beep-on: names an output for --beep; give that too")
	}
	done = func() {
		if beeper != nil {
			beeper.Close()
		}
	}
	return func(r reports.Watch) error {
		if beeper != nil {
			beeper.Set(r.Needle.PitchHz, r.Needle.State == analyze.PastBest)
		}
		if f.file == "" {
			return nil
		}
		return live.AddLine(f.file, reports.WatchColumns, r.CSV())
	}, done, nil
}
