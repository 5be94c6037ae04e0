package main

import (
	"os"
	"unsafe"

	"golang.org/x/sys/windows"
	"golang.org/x/term"
)

var consoleProcesses = windows.NewLazySystemDLL("kernel32.dll").NewProc("GetConsoleProcessList")

// ownWindow tells whether the console window was opened for this program alone: by
// a double-click, by a recording dropped on it, or from a shortcut.
func ownWindow(in, out *os.File) bool {
	if !term.IsTerminal(int(in.Fd())) || !term.IsTerminal(int(out.Fd())) {
		return false
	}
	var processes [2]uint32
	n, _, _ := consoleProcesses.Call(uintptr(unsafe.Pointer(&processes[0])), uintptr(len(processes)))
	return n == 1
}

// speaksANSI makes a console understand colours, and tells whether it does.
func speaksANSI(f *os.File) bool {
	var mode uint32
	if err := windows.GetConsoleMode(windows.Handle(f.Fd()), &mode); err != nil {
		return false
	}
	return windows.SetConsoleMode(windows.Handle(f.Fd()), mode|windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING) == nil
}
