package jobfile

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const writerFile = "HISSPOINT_TEST_WRITES"

// A command that is killed at any moment leaves the job as before it or after it, and a
// journal by which the commands that were done can be taken back, one by one.
// HISSPOINT_LONG=1 kills 500 times.
func TestKilledWhileWriting(t *testing.T) {
	if file := os.Getenv(writerFile); file != "" { // the process that is killed
		for i := 0; ; i++ {
			text := strconv.Itoa(i)
			if err := Edit(file, "hisspoint job note "+text, func(l *Lines) error { return l.Append([]string{"work"}, Text(text)) }); err != nil {
				os.Exit(1)
			}
		}
	}
	times := 15
	if os.Getenv("HISSPOINT_LONG") != "" {
		times = 500
	}
	r := rand.New(rand.NewPCG(4, 1))
	most := 0
	for range times {
		file := filepath.Join(t.TempDir(), Name)
		require.NoError(t, os.WriteFile(file, []byte("job: \"1\"\n"), 0o644))
		child := exec.Command(os.Args[0], "-test.run", "^TestKilledWhileWriting$")
		child.Env = append(os.Environ(), writerFile+"="+file)
		require.NoError(t, child.Start())
		for want := r.IntN(6); ; time.Sleep(time.Millisecond) { // until it has written so many
			if j, err := Load(file); err == nil && len(j.Work) >= want {
				break
			}
		}
		time.Sleep(time.Duration(r.IntN(5000)) * time.Microsecond)
		require.NoError(t, child.Process.Kill())
		_ = child.Wait()

		j, err := Load(file)
		require.NoError(t, err)
		for i, text := range j.Work {
			assert.Equal(t, strconv.Itoa(i), text, "no command is lost, and none is there twice")
		}
		most = max(most, len(j.Work))
		for n := len(j.Work); n > max(0, len(j.Work)-3); n-- {
			taken, err := Undo(file, false)
			require.NoError(t, err)
			assert.Equal(t, "hisspoint job note "+strconv.Itoa(n-1), taken.Command)
			now, err := Load(file)
			require.NoError(t, err)
			assert.Len(t, now.Work, n-1)
		}
	}
	assert.Greater(t, most, 2, "some were killed in the midst of it")
}
