// Package disk is all that the program does to a disk: every operation that changes
// one passes here, so that a test can let the n-th of them fail. Only the doors that
// stand on it (read, write) and tests use it; all else goes through those.
package disk

import (
	"io/fs"
	"os"
	"sync/atomic"
)

// before is asked before each operation; nil outside of tests.
var before atomic.Pointer[func(op, path string) error]

// Fail lets ask decide before every operation whether it fails, and with which error;
// a write that fails has written the first half. restore ends that. For tests.
func Fail(ask func(op, path string) error) (restore func()) {
	before.Store(&ask)
	return func() { before.Store(nil) }
}

func asked(op, path string) error {
	if ask := before.Load(); ask != nil {
		if err := (*ask)(op, path); err != nil {
			return &fs.PathError{Op: op, Path: path, Err: err}
		}
	}
	return nil
}

// File is an open file.
type File struct{ *os.File }

// OpenFile opens a file as os.OpenFile does.
func OpenFile(path string, flag int, perm fs.FileMode) (*File, error) {
	if flag&os.O_CREATE != 0 {
		if err := asked("create", path); err != nil {
			return nil, err
		}
	}
	f, err := os.OpenFile(path, flag, perm)
	if err != nil {
		return nil, err
	}
	return &File{f}, nil
}

// Write writes all of b, or fails.
func (f *File) Write(b []byte) (int, error) {
	if err := asked("write", f.Name()); err != nil {
		n, _ := f.File.Write(b[:len(b)/2])
		return n, err
	}
	return f.File.Write(b)
}

// WriteAt is Write at a place.
func (f *File) WriteAt(b []byte, at int64) (int, error) {
	if err := asked("write", f.Name()); err != nil {
		n, _ := f.File.WriteAt(b[:len(b)/2], at)
		return n, err
	}
	return f.File.WriteAt(b, at)
}

// WriteString is Write of a text.
func (f *File) WriteString(s string) (int, error) { return f.Write([]byte(s)) }

// Truncate gives the file a length.
func (f *File) Truncate(size int64) error {
	if err := asked("truncate", f.Name()); err != nil {
		return err
	}
	return f.File.Truncate(size)
}

// Chmod gives the file its permissions.
func (f *File) Chmod(mode fs.FileMode) error {
	if err := asked("chmod", f.Name()); err != nil {
		return err
	}
	return f.File.Chmod(mode)
}

// Sync brings the file to the disk.
func (f *File) Sync() error {
	if err := asked("sync", f.Name()); err != nil {
		return err
	}
	return f.File.Sync()
}

// Close closes the file, also where it reports a failure.
func (f *File) Close() error {
	err := asked("close", f.Name())
	if closed := f.File.Close(); err == nil {
		err = closed
	}
	return err
}

// Rename gives a file or folder another name; a file of that name is replaced.
func Rename(from, to string) error {
	if err := asked("rename", to); err != nil {
		return err
	}
	return os.Rename(from, to)
}

// Link gives a file a second name, which must be free.
func Link(from, to string) error {
	if err := asked("link", to); err != nil {
		return err
	}
	return os.Link(from, to)
}

// Remove removes a file or an empty folder.
func Remove(path string) error {
	if err := asked("remove", path); err != nil {
		return err
	}
	return os.Remove(path)
}

// RemoveAll removes a folder with all that is in it.
func RemoveAll(path string) error {
	if err := asked("remove", path); err != nil {
		return err
	}
	return os.RemoveAll(path)
}

// MkdirAll makes a folder and those above it.
func MkdirAll(path string, perm fs.FileMode) error {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return nil
	}
	if err := asked("mkdir", path); err != nil {
		return err
	}
	return os.MkdirAll(path, perm)
}

// Mkdir makes a folder that is not there yet.
func Mkdir(path string, perm fs.FileMode) error {
	if err := asked("mkdir", path); err != nil {
		return err
	}
	return os.Mkdir(path, perm)
}

// SyncFolder brings the names in a folder to the disk, where the system can.
func SyncFolder(path string) error {
	if err := asked("sync", path); err != nil {
		return err
	}
	return syncFolder(path)
}
