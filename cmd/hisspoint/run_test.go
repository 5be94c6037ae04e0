package main

import (
	"errors"
	"os"
	"strings"
	"testing"
)

func TestNoColourWhereItIsNotWanted(t *testing.T) {
	env := func(pairs ...string) func(string) string {
		return func(key string) string {
			for i := 0; i < len(pairs); i += 2 {
				if pairs[i] == key {
					return pairs[i+1]
				}
			}
			return ""
		}
	}
	for want, get := range map[bool][]func(string) string{
		true:  {env(), env("TERM", "xterm")},
		false: {env("NO_COLOR", "1"), env("NO_COLOR", "0", "TERM", "xterm"), env("TERM", "dumb")},
	} {
		for i, e := range get {
			if wantsColor(e) != want {
				t.Errorf("case %d of %v", i, want)
			}
		}
	}
	if s := screenOf(new(strings.Builder), os.Getenv); s != (screen{}) {
		t.Errorf("a buffer is taken for a terminal: %+v", s)
	}
}

// A full disk on standard output is an error, not a silent success.
func TestOutputThatCannotBeWritten(t *testing.T) {
	var stderr strings.Builder
	if code := program([]string{"--help"}, nil, fullDisk{}, &stderr); code != exitTrouble {
		t.Errorf("exit code %d", code)
	}
	if want := "hisspoint: standard output cannot be written: the disk is full\n"; stderr.String() != want {
		t.Errorf("%q", stderr.String())
	}
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("the disk is full") }
