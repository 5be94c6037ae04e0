// Package read is the one door through which files come in. Only regular files pass,
// whatever links lead to them: a pipe, a device or a socket is refused without waiting
// for it. A file that is read whole has a bound; one that is read in pieces tells
// whether it is still what it was when it was opened.
//
// Errors are without the file's name, which the caller knows how to show.
package read

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"

	"hisspoint/capture/doors/disk"
)

// Bounds of what is read whole, in bytes. Each is far more than such a file takes.
const (
	MostCard  = 1 << 20 // a sound card's qualification, its settings
	MostCurve = 1 << 20 // a monitor's curve
)

// ErrFolder and ErrDevice are of what is no regular file.
var (
	ErrFolder = errors.New("is a folder, not a file")
	ErrDevice = errors.New("is not a file but a device, pipe or socket")
	// ErrLarge is of a file beyond its bound.
	ErrLarge = errors.New("is too large for a file of its kind")
	// ErrChanged is of a file that somebody wrote to between its first byte and its last.
	ErrChanged = errors.New("changed while it was read; wait until it is finished, and try again")
)

// File is an open regular file.
type File struct {
	file  *os.File
	first state
}

// state is what changes when a file is written to.
type state struct {
	size  int64
	time  time.Time
	stamp [2]int64 // of the system: when its entry changed, and its number
}

func stateOf(info fs.FileInfo) state {
	return state{info.Size(), info.ModTime(), disk.Stamp(info)}
}

// Open opens a regular file. The caller closes it.
func Open(path string) (*File, error) {
	// Opening some devices does something already, so they are looked at before.
	info, err := os.Stat(path)
	if err != nil {
		return nil, Bare(err)
	}
	if err := regular(info); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_RDONLY|disk.NoWait, 0)
	return opened(f, err)
}

// OpenIn opens a regular file by its name within a folder. A name or a link that
// leads out of the folder is an error.
func OpenIn(dir, name string) (*File, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, Bare(err)
	}
	defer root.Close()
	info, err := root.Stat(name)
	if err != nil {
		return nil, Bare(err)
	}
	if err := regular(info); err != nil {
		return nil, err
	}
	f, err := root.OpenFile(name, os.O_RDONLY|disk.NoWait, 0)
	return opened(f, err)
}

func opened(f *os.File, err error) (*File, error) {
	if err != nil {
		return nil, Bare(err)
	}
	info, err := f.Stat()
	if err == nil {
		err = regular(info)
	}
	if err != nil {
		f.Close()
		return nil, Bare(err)
	}
	return &File{f, stateOf(info)}, nil
}

func regular(info fs.FileInfo) error {
	switch {
	case info.IsDir():
		return ErrFolder
	case !info.Mode().IsRegular():
		return ErrDevice
	}
	return nil
}

// Size is how many bytes the file had when it was opened.
func (f *File) Size() int64 { return f.first.size }

// ReadAt reads at a place, as io.ReaderAt says.
func (f *File) ReadAt(b []byte, at int64) (int, error) {
	n, err := f.file.ReadAt(b, at)
	if err != nil && err != io.EOF {
		err = Bare(err)
	}
	return n, err
}

// Unchanged tells whether the file is what it was when it was opened: same length,
// same times, same entry. Who asks behind the last byte that was used knows that all
// of them belong together. A file that was replaced by another of its name is still
// the old one here, and whole.
func (f *File) Unchanged() error {
	info, err := f.file.Stat()
	if err != nil {
		return Bare(err)
	}
	if stateOf(info) != f.first {
		return ErrChanged
	}
	return nil
}

// Close closes the file.
func (f *File) Close() error { return f.file.Close() }

// all reads the whole file.
func (f *File) all(most int64) ([]byte, error) {
	if f.Size() > most {
		return nil, ErrLarge
	}
	data, err := io.ReadAll(io.NewSectionReader(f, 0, most+1))
	switch {
	case err != nil:
		return nil, err
	case int64(len(data)) > most:
		return nil, ErrLarge
	}
	return data, f.Unchanged()
}

// Whole reads a file of at most so many bytes. One that changes meanwhile is read again.
func Whole(path string, most int64) ([]byte, error) {
	return again(most, func() (*File, error) { return Open(path) })
}

// WholeIn is Whole of a file within a folder, as OpenIn opens it.
func WholeIn(dir, name string, most int64) ([]byte, error) {
	return again(most, func() (*File, error) { return OpenIn(dir, name) })
}

func again(most int64, open func() (*File, error)) ([]byte, error) {
	for try := 0; ; try++ {
		f, err := open()
		if err != nil {
			return nil, err
		}
		data, err := f.all(most)
		f.Close()
		if err != ErrChanged || try == 3 {
			return data, err
		}
		time.Sleep(10 * time.Millisecond)
	}
}

// Bare is an error of package os without the operation and the path that its message
// would repeat.
func Bare(err error) error {
	var p *fs.PathError
	var l *os.LinkError
	var s *os.SyscallError
	switch {
	case errors.As(err, &p):
		return p.Err
	case errors.As(err, &l):
		return l.Err
	case errors.As(err, &s):
		return s.Err
	}
	return err
}

// Stream reads a stream that cannot be read twice, of at most so many bytes, to a
// file that nobody can see and that is gone whatever ends the program. The first
// bytes are shown to accept before anything is kept.
func Stream(r io.Reader, dir string, most int64, first int, accept func(head []byte) error) (*Kept, error) {
	head := make([]byte, first)
	n, err := io.ReadFull(r, head)
	switch {
	case err != nil && err != io.EOF && err != io.ErrUnexpectedEOF:
		return nil, fmt.Errorf("broke off after %d bytes: %w", n, Bare(err))
	case n == 0:
		return nil, ErrEmpty
	}
	if err := accept(head[:n]); err != nil {
		return nil, err
	}
	k, err := hidden(dir)
	if err != nil {
		return nil, err
	}
	if err := k.fill(io.MultiReader(bytesOf(head[:n]), r), most); err != nil {
		k.Close()
		return nil, err
	}
	return k, nil
}
