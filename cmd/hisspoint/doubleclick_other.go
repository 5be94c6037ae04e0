//go:build !windows

package main

import "os"

// ownWindow is a matter of Windows: elsewhere a window stays, or shows nothing at all.
func ownWindow(_, _ *os.File) bool { return false }

// speaksANSI is true wherever terminals understand ANSI by themselves.
func speaksANSI(*os.File) bool { return true }
