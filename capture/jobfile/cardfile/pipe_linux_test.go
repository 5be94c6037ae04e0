package cardfile

import (
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A pipe of that name is refused at once: opening it would wait for ever.
func TestAPipeIsRefused(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, Name)
	require.NoError(t, syscall.Mkfifo(file, 0o600))
	done := make(chan [2]error, 1)
	go func() {
		_, in := In(dir)
		_, load := Load(file)
		done <- [2]error{in, load}
	}()
	select {
	case errs := <-done:
		assert.ErrorContains(t, errs[0], "it is not a file")
		assert.ErrorContains(t, errs[1], "it is not a file")
	case <-time.After(10 * time.Second):
		t.Fatal("still waits for the pipe")
	}
}
