// Package whole writes a file whole or not at all.
package whole

import (
	"io/fs"
	"os"
	"path/filepath"
)

// Write writes data beside the file's place and renames it, so that an existing file
// is replaced at once and nothing half-written is left behind. The error is that of
// the system.
func Write(file string, data []byte, mode fs.FileMode) error {
	f, err := os.CreateTemp(filepath.Dir(file), ".hisspoint-*.tmp")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(data)
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Chmod(f.Name(), mode)
	}
	if err == nil {
		err = os.Rename(f.Name(), file)
	}
	return err
}
