//go:build linux

// Package smalldisk gives tests a disk that is soon full. Only tests import it.
package smalldisk

import (
	"fmt"
	"os"
	"syscall"
	"testing"
)

// New mounts a file system in memory of so many bytes and returns its folder. It
// skips the test where that is not permitted, as it is to the superuser only.
func New(t testing.TB, bytes int) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%d", bytes)); err != nil {
		t.Skip("skipped, a small disk cannot be mounted: ", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// Empty tells whether nothing is left in a folder, not even half of a file.
func Empty(t testing.TB, dir string) bool {
	t.Helper()
	left, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range left {
		t.Logf("left behind: %s", f.Name())
	}
	return len(left) == 0
}
