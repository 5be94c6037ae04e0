package main

import (
	"io"
	"os"

	"golang.org/x/term"

	"hisspoint/capture/doors/print"
	"hisspoint/reports/doc"
	"hisspoint/reports/text"
)

// screen is what is known of where text goes.
type screen struct {
	terminal bool
	width    int // 0: not a terminal
	color    bool
}

// screenOf looks at an output. Colour needs a terminal and is left out where
// NO_COLOR is set (no-color.org) or TERM is dumb.
func screenOf(w io.Writer, env func(string) string) screen {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return screen{}
	}
	s := screen{terminal: true, color: speaksANSI(f) && wantsColor(env)}
	if columns, _, err := term.GetSize(int(f.Fd())); err == nil {
		s.width = columns
	}
	return s
}

func wantsColor(env func(string) string) bool {
	return env("NO_COLOR") == "" && env("TERM") != "dumb"
}

// show writes a document for people on standard output.
func (a *app) show(d doc.Document) error {
	o := text.Options{Color: a.screen.color}
	if a.screen.terminal && a.screen.width > 0 {
		o.Fold = true
		o.Width = max(60, min(a.screen.width, 100))
	}
	return text.Write(a.paint, print.Deep(d), o)
}
