// Command hisspoint measures the audio of two-way radios from sound-card
// recordings: how sensitive a receiver is, how clean and how loud its audio,
// with uncertainty, against stated limits.
package main

import "os"

func main() {
	os.Exit(started(ownWindow(os.Stdin, os.Stdout), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
