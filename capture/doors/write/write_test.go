package write_test

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/doors/disk"
	"hisspoint/capture/doors/read"
	"hisspoint/capture/doors/write"
)

// A test's own binary is a writer of its own process where it is told to be.
func TestMain(m *testing.M) {
	if file := os.Getenv("DOORS_APPEND"); file != "" {
		appendLines(file)
		return
	}
	if dir := os.Getenv("DOORS_SETS"); dir != "" {
		writeSets(dir)
		return
	}
	os.Exit(m.Run())
}

func load(path string) ([]byte, error) { return read.Whole(path, 1<<20) }

func appendLines(file string) {
	n, _ := strconv.Atoi(os.Getenv("DOORS_TIMES"))
	for i := range n {
		err := write.Change(file, load, func(_ *write.Turn, old []byte) ([]byte, error) {
			return fmt.Appendf(old, "%s %d\n", os.Getenv("DOORS_NAME"), i), nil
		})
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}

func parts(n int) []write.Part {
	return []write.Part{{Name: "a.txt", Data: fmt.Appendf(nil, "a %d\n", n)}, {Name: "b.txt", Data: fmt.Appendf(nil, "b %d\n", n)}, {Name: "c.txt", Data: fmt.Appendf(nil, "c %d\n", n)}}
}

func writeSets(dir string) {
	for n := 0; ; n++ {
		if err := write.Together(dir, write.Private, parts(n)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}

func own(t *testing.T, env ...string) *exec.Cmd {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), env...)
	c.Stderr = os.Stderr
	require.NoError(t, c.Start())
	return c
}

// times is a number of rounds: few, or as many as asked for in a long run.
func times(few, many int) int {
	if os.Getenv("HISSPOINT_LONG") == "1" {
		return many
	}
	return few
}

func hidden(t *testing.T, dir string) (left []string) {
	t.Helper()
	all, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range all {
		if strings.HasPrefix(e.Name(), ".") {
			left = append(left, e.Name())
		}
	}
	return left
}

// Eight processes that edit one file at once lose no edit.
func TestNoEditIsLost(t *testing.T) {
	rounds, each := times(1, 100), times(3, 2)
	for range rounds {
		file := filepath.Join(t.TempDir(), "list")
		require.NoError(t, os.WriteFile(file, nil, 0o600))
		var all []*exec.Cmd
		for k := range 8 {
			all = append(all, own(t, "DOORS_APPEND="+file, "DOORS_TIMES="+strconv.Itoa(each), "DOORS_NAME="+strconv.Itoa(k)))
		}
		for _, c := range all {
			require.NoError(t, c.Wait())
		}
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, 8*each, bytes.Count(text, []byte("\n")))
		assert.Empty(t, hidden(t, filepath.Dir(file)))
	}
}

// A set of files whose writer is killed at any moment is whole, once the next has
// written there, and nothing else stays.
func TestKilledSets(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	dir := t.TempDir()
	for range times(10, 600) {
		c := own(t, "DOORS_SETS="+dir)
		time.Sleep(time.Duration(5+r.IntN(30)) * time.Millisecond)
		require.NoError(t, c.Process.Kill())
		c.Wait()
		require.NoError(t, write.New(filepath.Join(dir, "next"), write.Private, nil)) // as any later command
		require.NoError(t, os.Remove(filepath.Join(dir, "next")))
		var seen []string
		for _, p := range parts(0) {
			text, err := os.ReadFile(filepath.Join(dir, p.Name))
			if errors.Is(err, fs.ErrNotExist) {
				text = []byte("x none\n")
			}
			seen = append(seen, string(text[2:]))
		}
		assert.True(t, seen[0] == seen[1] && seen[1] == seen[2], "%q", seen)
		assert.Empty(t, hidden(t, dir))
	}
}

// Whichever operation fails, files are as before or as after, and nothing stays.
func TestEveryOperationMayFail(t *testing.T) {
	full := errors.New("no space left on device")
	for name, do := range map[string]func(dir string) error{
		"change": func(dir string) error {
			return write.Change(filepath.Join(dir, "a.txt"), load, func(*write.Turn, []byte) ([]byte, error) { return []byte("a 1\n"), nil })
		},
		"replace": func(dir string) error {
			return write.Replace(filepath.Join(dir, "a.txt"), write.Private, []byte("a 1\n"))
		},
		"together": func(dir string) error { return write.Together(dir, write.Private, parts(1)) },
		"line":     func(dir string) error { return write.Line(filepath.Join(dir, "lines"), "", "one") },
		"folder": func(dir string) error {
			return write.NewFolder(filepath.Join(dir, "new"), func(in string) error {
				return write.New(filepath.Join(in, "x"), write.Open, []byte("x"))
			})
		},
	} {
		fails := 0
		for n := 1; ; n++ {
			dir := t.TempDir()
			require.NoError(t, write.Together(dir, write.Private, parts(0)))
			count := 0
			restore := disk.Fail(func(string, string) error {
				if count++; count == n {
					return full
				}
				return nil
			})
			err := do(dir)
			restore()
			if err != nil {
				fails++
				assert.ErrorIs(t, err, full)
			}
			var generations string
			for _, p := range parts(0) {
				text, err := os.ReadFile(filepath.Join(dir, p.Name))
				require.NoError(t, err)
				generations += string(text[2:3])
			}
			whole := map[string][]string{"together": {"000", "111"}, "change": {"000", "100"}, "replace": {"000", "100"}}[name]
			if whole == nil {
				whole = []string{"000"}
			}
			assert.Contains(t, whole, generations, "%s, operation %d", name, n)
			assert.Empty(t, hidden(t, dir), "%s, operation %d", name, n)
			if count < n {
				require.NoError(t, err)
				break
			}
		}
		assert.Greater(t, fails, 3, name)
	}
}

func TestWhatIsThereKeepsItsNature(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("permissions and links are those of Unix")
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "a")
	put := func(path string) error { return write.Replace(path, write.Private, []byte("new")) }

	require.NoError(t, put(file))
	assert.Equal(t, fs.FileMode(0o600), mode(t, file), "a new file is the owner's")
	require.NoError(t, os.Chmod(file, 0o640))
	require.NoError(t, put(file))
	assert.Equal(t, fs.FileMode(0o640), mode(t, file))

	link := filepath.Join(dir, "link")
	require.NoError(t, os.Symlink("sub/b", link))
	require.NoError(t, os.Mkdir(filepath.Join(dir, "sub"), 0o755))
	require.NoError(t, put(link), "a link that leads to nothing yet")
	require.NoError(t, put(link))
	to, err := os.Readlink(link)
	require.NoError(t, err)
	assert.Equal(t, "sub/b", to)
	assert.FileExists(t, filepath.Join(dir, "sub", "b"))

	require.NoError(t, os.Link(file, filepath.Join(dir, "second")))
	assert.ErrorContains(t, put(file), "hard links")
	require.NoError(t, os.Remove(filepath.Join(dir, "second")))
	require.NoError(t, os.Chmod(file, 0o444))
	assert.ErrorContains(t, put(file), "read-only")
	assert.ErrorContains(t, put(filepath.Join(dir, "sub")), "not a file")
	assert.ErrorIs(t, write.New(file, write.Private, nil), write.ErrThere)

	shared := filepath.Join(dir, "shared")
	require.NoError(t, os.Mkdir(shared, 0o755))
	require.NoError(t, os.Chmod(shared, 0o770))
	require.NoError(t, put(filepath.Join(shared, "a")))
	assert.Equal(t, fs.FileMode(0o660)&^umask(t), mode(t, filepath.Join(shared, "a")))
	assert.Empty(t, hidden(t, dir))
}

func mode(t *testing.T, path string) fs.FileMode {
	t.Helper()
	info, err := os.Stat(path)
	require.NoError(t, err)
	return info.Mode().Perm()
}

// umask is that of this process, by what it leaves of a new file's permissions.
func umask(t *testing.T) fs.FileMode {
	t.Helper()
	file := filepath.Join(t.TempDir(), "x")
	require.NoError(t, os.WriteFile(file, nil, 0o666))
	return 0o666 &^ mode(t, file)
}

// Two that write to one folder wait for each other; who waits too long is told for whom.
func TestChangeSeesWhatOthersWrote(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a")
	require.NoError(t, os.WriteFile(file, []byte("one\n"), 0o600))
	first := true
	require.NoError(t, write.Change(file, load, func(_ *write.Turn, old []byte) ([]byte, error) {
		if first { // an editor that knows no locks
			first = false
			require.NoError(t, os.WriteFile(file, []byte("other\n"), 0o600))
		}
		return append(old, "mine\n"...), nil
	}))
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "other\nmine\n", string(text))
}

func TestWhatIsNotOursStays(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "b.txt"), []byte("a letter"), 0o600))
	set := parts(1)
	set[1].Ours = func(old []byte) bool { return bytes.HasPrefix(old, []byte("b ")) }
	var other write.NotOurs
	require.ErrorAs(t, write.Together(dir, write.Private, set), &other)
	assert.Equal(t, "b.txt", other.Name)
	assert.NoFileExists(t, filepath.Join(dir, "a.txt"))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "b.txt"), []byte("b 0\n"), 0o600))
	require.NoError(t, write.Together(dir, write.Private, set))
}
