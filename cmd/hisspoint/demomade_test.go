package main

import (
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func init() { scriptCommands["demo-made"] = placeDemo }

// madeDemo is what one `hisspoint demo` printed and wrote.
type madeDemo struct {
	printed string
	files   map[string][]byte
}

// demoOnce runs `hisspoint demo` in a process and a folder of its own, once for
// all tests that look at what it makes: it measures for seconds.
var demoOnce = sync.OnceValues(func() (made madeDemo, err error) {
	dir, err := os.MkdirTemp("", "hisspoint")
	if err != nil {
		return made, err
	}
	defer os.RemoveAll(dir)
	var stdout, stderr strings.Builder
	c := exec.Command("hisspoint", "demo")
	c.Dir, c.Stdout, c.Stderr = dir, &stdout, &stderr
	if err := c.Run(); err != nil || stderr.Len() > 0 {
		return made, fmt.Errorf("hisspoint demo: %v\n%s", err, stderr.String())
	}
	made = madeDemo{stdout.String(), map[string][]byte{}}
	return made, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err == nil {
			made.files[name], err = os.ReadFile(path)
		}
		return err
	})
})

// place writes the demo's folder into dir.
func (m madeDemo) place(dir string) error {
	for name, b := range m.files {
		file := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
			return err
		}
		if err := os.WriteFile(file, b, 0o666); err != nil {
			return err
		}
	}
	return nil
}

// demo-made FILE places what `hisspoint demo` wrote here, and puts what it printed
// into FILE.
func placeDemo(ts *testscript.TestScript, _ bool, args []string) {
	made, err := demoOnce()
	ts.Check(err)
	ts.Check(made.place(ts.MkAbs(".")))
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(made.printed), 0o666))
}

// The demo's screen fits a terminal of 24 lines and 80 columns: the answer takes two there.
func TestDemoFitsAScreen(t *testing.T) {
	made, err := demoOnce()
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSuffix(made.printed, "\n"), "\n")
	high := 1 // the prompt
	for _, l := range lines {
		high += 1 + (utf8.RuneCountInString(l)-1)/80
	}
	assert.LessOrEqual(t, high, 24, made.printed)
}
