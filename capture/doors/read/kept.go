package read

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"

	"hisspoint/capture/doors/disk"
)

// ErrEmpty is of a stream without a byte.
var ErrEmpty = errors.New("is empty")

// Kept is a stream that was read to its end.
type Kept struct {
	file *disk.File
	size int64
	name string // that is still to be removed; empty: it is gone already
}

func bytesOf(b []byte) io.Reader { return bytes.NewReader(b) }

// hidden makes a file without a name, or, where the system has no such thing, one that
// is removed when it is closed.
func hidden(dir string) (*Kept, error) {
	if dir == "" {
		dir = os.TempDir()
	}
	name := filepath.Join(dir, fmt.Sprintf("hisspoint-%016x.spool", rand.Uint64()))
	f, err := disk.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, fmt.Errorf("cannot be kept in %s: %w; set TMPDIR", filepath.ToSlash(dir), Bare(err))
	}
	k := &Kept{file: f}
	if err := disk.RemoveOpen(f); err != nil {
		k.name = name
	}
	return k, nil
}

func (k *Kept) fill(r io.Reader, most int64) error {
	buffer := make([]byte, 1<<17)
	for {
		n, err := r.Read(buffer)
		if n > 0 {
			if k.size += int64(n); k.size > most {
				return fmt.Errorf("is longer than %d GiB; save it as a file, and name that", most>>30)
			}
			if _, err := k.file.Write(buffer[:n]); err != nil {
				return fmt.Errorf("cannot be kept in %s: %w; free some space or set TMPDIR", filepath.ToSlash(filepath.Dir(k.file.Name())), Bare(err))
			}
		}
		switch {
		case err == io.EOF:
			return nil
		case err != nil:
			return fmt.Errorf("broke off after %d bytes: %w", k.size, Bare(err))
		}
	}
}

// Size is how many bytes came.
func (k *Kept) Size() int64 { return k.size }

// ReadAt reads at a place, as io.ReaderAt says.
func (k *Kept) ReadAt(b []byte, at int64) (int, error) { return k.file.ReadAt(b, at) }

// Unchanged always holds: nobody else can write there.
func (k *Kept) Unchanged() error { return nil }

// Close lets go of what was kept.
func (k *Kept) Close() error {
	err := k.file.File.Close()
	if k.name != "" {
		err = errors.Join(err, os.Remove(k.name))
	}
	return err
}
