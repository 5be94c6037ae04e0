package main

import "github.com/spf13/cobra"

// Started by double-click the program says what it is and waits for Enter,
// instead of flashing by.
func init() {
	cobra.MousetrapHelpText = `Hisspoint measures two-way radios from sound-card recordings.

It is used from a command window: open the folder with your recordings, type
cmd into the address bar, and then for example

  hisspoint-windows-amd64 --help
  hisspoint-windows-amd64 measure *.wav
  hisspoint-windows-amd64 watch
`
	cobra.MousetrapDisplayDuration = 0
}
