package fullscreen

import (
	"os"

	"golang.org/x/sys/windows"
)

// speakANSI makes a console understand ANSI until back is called.
func speakANSI(out *os.File) (back func()) {
	handle := windows.Handle(out.Fd())
	var mode uint32
	if err := windows.GetConsoleMode(handle, &mode); err != nil {
		return func() {}
	}
	if err := windows.SetConsoleMode(handle, mode|windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING); err != nil {
		return func() {}
	}
	return func() { windows.SetConsoleMode(handle, mode) }
}
