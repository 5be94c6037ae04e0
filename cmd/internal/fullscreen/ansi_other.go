//go:build !windows

package fullscreen

import "os"

// speakANSI has nothing to do where terminals understand ANSI by themselves.
func speakANSI(*os.File) (back func()) { return func() {} }
