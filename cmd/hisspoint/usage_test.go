package main

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestNearest(t *testing.T) {
	words := []string{"measure", "sensitivity", "limits", "demo"}
	for word, want := range map[string]string{"mesure": "measure", "sens": "sensitivity", "Limit": "limits", "dmeo": "demo", "nwe": "", "frobnicate": "", "x": ""} {
		assert.Equal(t, want, nearest(word, words), word)
	}
}

// Whatever is typed, a run ends with one of the four codes; with 3 it says what
// is wrong on standard error, a line for each file, and nothing on standard output but the
// object that --json promises.
func TestAnyCommandLineEndsWell(t *testing.T) {
	t.Chdir(t.TempDir())
	words := rapid.SampledFrom([]string{"measure", "sensitivity", "limits", "help", "--json", "--quiet", "--tone", "--levels", "1uV 2uV", "--limit", "0.5uV",
		"--filter", "-", "--", "x.wav", "*", "[", "", "--criterion", "quieting 20 dB", "-h", "--from", "1e9", "\n", "\xff", "µ", "-0", "--level-kind"})
	rapid.Check(t, func(rt *rapid.T) {
		args := rapid.SliceOfN(rapid.OneOf(words, rapid.String()), 0, 5).Draw(rt, "args")
		if len(args) > 0 && (args[0] == "demo" || strings.HasPrefix(args[0], "completion")) {
			return
		}
		var stdout, stderr bytes.Buffer
		code := program(args, strings.NewReader("no recording"), &stdout, &stderr)
		if code < exitDone || code > exitTrouble {
			rt.Fatalf("exit code %d", code)
		}
		if code != exitTrouble {
			return
		}
		if slices.Contains(args, "--json") && json.Valid(stdout.Bytes()) {
			stdout.Reset()
		}
		if stdout.Len() > 0 || stderr.Len() == 0 || !strings.HasSuffix(stderr.String(), "\n") {
			rt.Fatalf("%q: standard output %q, standard error %q", args, stdout.String(), stderr.String())
		}
		for line := range strings.Lines(stderr.String()) {
			if !strings.HasPrefix(line, "hisspoint: ") {
				rt.Fatalf("%q: standard error %q", args, stderr.String())
			}
		}
	})
}
