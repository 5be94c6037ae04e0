package main

import (
	"bufio"
	"fmt"
	"io"

	"github.com/spf13/cobra"
)

// howToStart is said to somebody who started the program by a double-click.
const howToStart = `Hisspoint measures two-way radios from sound-card recordings.

It is used from a command window: open the folder with your recordings, type
cmd into the address bar, and then for example

  hisspoint-windows-amd64 --help
  hisspoint-windows-amd64 measure *.wav
  hisspoint-windows-amd64 watch
`

// The library would end such a program by itself, and only if one kind of window
// started it.
func init() { cobra.MousetrapHelpText = "" }

// started runs the program. In a window that is its own, and so closes with it, it
// waits for Enter at the end, or all that it said would be gone.
func started(ownWindow bool, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	if !ownWindow {
		return program(args, stdin, stdout, stderr)
	}
	code := exitDone
	if len(args) == 0 {
		fmt.Fprint(stdout, howToStart)
	} else {
		code = program(args, stdin, stdout, stderr)
	}
	fmt.Fprint(stdout, "\nEnter closes this window. ")
	bufio.NewReader(stdin).ReadString('\n')
	return code
}
