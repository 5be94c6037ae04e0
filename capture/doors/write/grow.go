package write

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"hisspoint/capture/doors/disk"
	"hisspoint/capture/doors/read"
)

// Grow begins a file that must not be there yet and is seen while it grows: fs.ErrExist.
func Grow(path string) (*disk.File, error) {
	f, err := disk.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return nil, read.Bare(err)
	}
	return f, nil
}

// Named gives a file that has grown its name. A file of that name stays: ErrThere.
func Named(part, path string) error {
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return ErrThere
	}
	if err := disk.Link(part, path); err == nil { // does not replace what comes just now
		removed(part)
		disk.SyncFolder(filepath.Dir(path)) // the sound is on the disk, under one name or the other
		return nil
	} else if errors.Is(err, fs.ErrExist) {
		return ErrThere
	}
	if err := disk.Rename(part, path); err != nil {
		return read.Bare(err)
	}
	disk.SyncFolder(filepath.Dir(path))
	return nil
}

// Drop removes a file that has grown and that nobody wants.
func Drop(path string) { removed(path) }

// Folder makes a folder and those above it, where they are not there yet.
func Folder(path string) error { return read.Bare(disk.MkdirAll(path, 0o777)) }

// NewFolder makes a folder of which nothing is seen until fill has filled it. A folder
// of that name must be empty.
func NewFolder(path string, fill func(dir string) error) error {
	path = filepath.Clean(path)
	f, err := hold(filepath.Dir(path))
	if err != nil {
		return err
	}
	defer f.release()
	if entries, err := os.ReadDir(path); err == nil && len(entries) > 0 {
		return ErrThere
	}
	part := filepath.Join(f.path, passing())
	if err := disk.Mkdir(part, 0o777); err != nil {
		return read.Bare(err)
	}
	err = fill(part)
	if err == nil {
		os.Remove(path) // an empty folder, if there is one; no other goes away
		err = disk.Rename(part, filepath.Join(f.path, filepath.Base(path)))
	}
	if err != nil {
		if disk.RemoveAll(part) != nil {
			disk.RemoveAll(part)
		}
		return read.Bare(err)
	}
	return read.Bare(disk.SyncFolder(f.path))
}

// Line adds a line to a file, which is made where it is not there yet; head opens a new
// one.
func Line(path, head, line string) error {
	return at(path, func(p place) error { return p.line(head, line) })
}

// Line is Line of a file in the folder whose turn it is.
func (f *Turn) Line(name, head, line string) error {
	p := place{Turn: f, name: name}
	if err := p.look(); err != nil {
		return err
	}
	return p.line(head, line)
}

func (p place) line(head, line string) error {
	text := line + "\n"
	if p.old == nil && head != "" {
		text = head + "\n" + text
	}
	f, err := disk.OpenFile(p.path(), os.O_RDWR|os.O_CREATE|os.O_APPEND|disk.NoFollow, p.permissions(Private))
	if err != nil {
		return read.Bare(err)
	}
	info, err := f.Stat()
	if err == nil && info.Size() > 0 { // what was cut stands on a line of its own
		last := make([]byte, 1)
		if _, err := f.ReadAt(last, info.Size()-1); err == nil && last[0] != '\n' {
			text = "\n" + text
		}
	}
	if err == nil {
		if _, err = f.WriteString(text); err != nil {
			f.Truncate(info.Size()) // no half of a line
		}
	}
	if err == nil {
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	return read.Bare(err)
}

// Passing makes a folder for what is needed for a moment, in the system's place for such.
func Passing() (dir string, remove func(), err error) {
	dir, err = os.MkdirTemp("", "hisspoint-")
	if err != nil {
		return "", nil, read.Bare(err)
	}
	return dir, func() { disk.RemoveAll(dir) }, nil
}
