// Package fullscreen holds a terminal while a program paints it whole, and gives it
// back as it was, however the program ends.
package fullscreen

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"unicode/utf8"

	"golang.org/x/term"
)

// Key is a key that was pressed.
type Key struct {
	Rune rune   // of a key that writes; else 0
	Name string // Enter, Escape, Backspace, Up, Down, Interrupt; else empty
}

// Names of keys.
const (
	Enter     = "enter"
	Escape    = "escape"
	Backspace = "backspace"
	Up        = "up"
	Down      = "down"
	Interrupt = "interrupt"
)

// Screen is a terminal that is held.
type Screen struct {
	in, out *os.File
	state   *term.State
	keys    chan Key
	mutex   sync.Mutex
	shown   []string
	width   int
	height  int
	closed  bool
	unmode  func()
}

const (
	enter = "\x1b[?1049h\x1b[?25l\x1b[2J"
	leave = "\x1b[0m\x1b[?25h\x1b[?1049l"
)

// Open takes hold of the terminal: the other screen, no cursor, keys one by one.
func Open(in, out *os.File) (*Screen, error) {
	state, err := term.MakeRaw(int(in.Fd()))
	if err != nil {
		return nil, fmt.Errorf("the terminal cannot be used: %w", err)
	}
	s := &Screen{in: in, out: out, state: state, keys: make(chan Key, 64), unmode: speakANSI(out)}
	if _, err := io.WriteString(out, enter); err != nil {
		s.Close()
		return nil, err
	}
	go s.read()
	return s, nil
}

// Close gives the terminal back. It may be called more than once.
func (s *Screen) Close() {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if s.closed {
		return
	}
	s.closed = true
	io.WriteString(s.out, leave)
	term.Restore(int(s.in.Fd()), s.state)
	s.unmode()
}

// Size is how many cells the terminal has now.
func (s *Screen) Size() (width, height int) {
	w, h, err := term.GetSize(int(s.out.Fd()))
	if err != nil || w < 1 || h < 1 {
		return 80, 24
	}
	return w, h
}

// Paint shows lines; only those that changed are written.
func (s *Screen) Paint(lines []string) error {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if s.closed {
		return nil
	}
	var b strings.Builder
	if w, h := s.Size(); w != s.width || h != s.height {
		s.width, s.height, s.shown = w, h, nil
		b.WriteString("\x1b[0m\x1b[2J")
	}
	for i, l := range lines {
		if i < len(s.shown) && s.shown[i] == l {
			continue
		}
		fmt.Fprintf(&b, "\x1b[%d;1H%s\x1b[K", i+1, l)
	}
	s.shown = append(s.shown[:0], lines...)
	if b.Len() == 0 {
		return nil
	}
	_, err := io.WriteString(s.out, b.String())
	return err
}

// Keys are those that are pressed. The channel is closed when the terminal goes away.
func (s *Screen) Keys() <-chan Key { return s.keys }

func (s *Screen) read() {
	defer close(s.keys)
	defer func() { // the terminal is given back before a fault is said
		if p := recover(); p != nil {
			s.Close()
			panic(p)
		}
	}()
	buffer := make([]byte, 256)
	for {
		n, err := s.in.Read(buffer)
		for _, k := range decode(buffer[:n]) {
			s.keys <- k
		}
		if err != nil {
			return
		}
	}
}

// decode turns what a terminal sends into keys. A sequence that begins with
// escape comes in one piece; what is not known of it is passed over.
func decode(b []byte) []Key {
	var keys []Key
	for len(b) > 0 {
		switch {
		case b[0] == 0x1b && len(b) > 2 && (b[1] == '[' || b[1] == 'O'):
			end := 2
			for end < len(b)-1 && (b[end] < 0x40 || b[end] > 0x7e) {
				end++
			}
			switch b[end] {
			case 'A':
				keys = append(keys, Key{Name: Up})
			case 'B':
				keys = append(keys, Key{Name: Down})
			}
			b = b[end+1:]
			continue
		case b[0] == 0x1b:
			keys = append(keys, Key{Name: Escape})
		case b[0] == '\r' || b[0] == '\n':
			keys = append(keys, Key{Name: Enter})
		case b[0] == 0x7f || b[0] == 0x08:
			keys = append(keys, Key{Name: Backspace})
		case b[0] == 0x03 || b[0] == 0x04:
			keys = append(keys, Key{Name: Interrupt})
		case b[0] >= 0x20:
			r, n := utf8.DecodeRune(b)
			keys = append(keys, Key{Rune: r})
			b = b[n:]
			continue
		}
		b = b[1:]
	}
	return keys
}
