// Package write is the one door through which files go out.
//
//   - [Change] edits a file that is there: it waits for others that write in the folder,
//     reads, lets the caller change, looks again whether the file is still what was read,
//     and replaces it. Two edits at once both arrive.
//   - [New] writes a file that must not be there yet, [Replace] one that may be.
//   - [Together] writes files that belong together: all of them appear, or none does.
//   - [Through] lets the caller write a large file piece by piece; [NewFolder] does so
//     with a whole folder.
//   - [Grow] begins a file that is seen while it grows, [Named] gives it its name.
//   - [Line] adds a line to a list, [Folder] makes a folder.
//   - [InTurn] is for more than one of these with nobody between.
//
// Nothing half-written is ever seen under a file's name: data are written beside it,
// brought to the disk and renamed, and the folder is brought to the disk, too. A
// symbolic link stays, and what it leads to is written. Permissions and owner of a file
// stay; one that is read-only, or is known by a second name (which would go on holding
// the old text), is refused. A new file has the permissions that the umask and [Kind]
// allow. A process that dies leaves files named .hisspoint-*.tmp; the next that
// writes to the folder removes them, or, where a set of files was whole already, gives
// them their names. Where the file system has no locks, a change by another process is
// seen only if it comes before the second look.
//
// Errors are without the file's name, which the caller knows how to show.
package write

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"

	"hisspoint/capture/doors/disk"
	"hisspoint/capture/doors/read"
)

// Kind says who may read a new file.
type Kind int

const (
	// Private is what tells of customers: for the owner alone, unless the folder is
	// shared (its group may write there, and it is no sticky folder of everybody).
	Private Kind = iota
	// Open is what the umask allows.
	Open
)

// ErrThere is of a file that is there already and is not to be replaced.
var ErrThere = errors.New("it already exists and was not changed")

// Refusals of files that are there.
var (
	errReadOnly = errors.New("it is read-only; allow writing to it, or work on a copy")
	errNoFile   = errors.New("it is not a file but a folder, device, pipe or socket")
	errMoved    = errors.New("others write to it all the time; try again")
)

// place is where a file stands once all links are followed.
type place struct {
	*Turn
	name string
	old  fs.FileInfo // nil: nothing is there
}

func (p place) path() string { return filepath.Join(p.Turn.path, p.name) }

// at holds the folder of a file while do works on it.
func at(path string, do func(p place) error) error {
	real, err := followed(path)
	if err != nil {
		return err
	}
	f, err := hold(filepath.Dir(real))
	if err != nil {
		return err
	}
	defer f.release()
	p := place{Turn: f, name: filepath.Base(real)}
	if err := p.look(); err != nil {
		return err
	}
	return do(p)
}

// followed is a path behind the last symbolic link, which may lead to nothing yet.
func followed(path string) (string, error) {
	for range 40 {
		info, err := os.Lstat(path)
		if err != nil || info.Mode()&fs.ModeSymlink == 0 {
			return path, nil
		}
		to, err := os.Readlink(path)
		if err != nil {
			return "", read.Bare(err)
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(path), to)
		}
		path = to
	}
	return "", errors.New("its links lead in a circle")
}

// look sees what is there, and refuses what may not be replaced.
func (p *place) look() error {
	info, err := os.Lstat(p.path())
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return read.Bare(err)
	}
	p.old = info
	_, _, names, _ := disk.Owner(info)
	switch {
	case !info.Mode().IsRegular():
		return errNoFile
	case info.Mode().Perm()&0o200 == 0:
		return errReadOnly
	case names > 1:
		return fmt.Errorf("it has %d names (hard links), and only one would be changed; work on a copy", names)
	}
	f, err := os.OpenFile(p.path(), os.O_WRONLY|disk.NoWait|disk.NoFollow, 0)
	if errors.Is(err, fs.ErrPermission) {
		return errReadOnly
	}
	if err != nil {
		return read.Bare(err)
	}
	return f.Close()
}

// Change replaces the text of a file by what change makes of it. load reads the file, with
// errors that are passed on as they are, as those of change are. change may write beside
// the file, by the turn.
func Change(path string, load func(path string) ([]byte, error), change func(turn *Turn, old []byte) ([]byte, error)) error {
	if _, err := load(path); err != nil {
		return err // before a lock is made where no such file is
	}
	var theirs error
	err := at(path, func(p place) error {
		for range 5 {
			old, err := load(path)
			if err != nil {
				theirs = err
				return nil
			}
			text, err := change(p.Turn, old)
			if err != nil {
				theirs = err
				return nil
			}
			if bytes.Equal(text, old) {
				return nil
			}
			err = p.replace(Private, text, func() error {
				if now, err := load(path); err != nil || !bytes.Equal(now, old) {
					return errMoved
				}
				return nil
			})
			if !errors.Is(err, errMoved) {
				return err
			}
		}
		return errMoved
	})
	if theirs != nil {
		return theirs
	}
	if err != nil {
		return Failure{err}
	}
	return nil
}

// Failure is an error of writing, to tell it from one of reading or of the change.
type Failure struct{ error }

// Unwrap is the error itself.
func (f Failure) Unwrap() error { return f.error }

// InTurn lets do write in a folder that nobody else writes to meanwhile. It must do so
// by what the turn offers, and quickly.
func InTurn(dir string, do func(turn *Turn) error) error {
	f, err := hold(dir)
	if err != nil {
		return err
	}
	defer f.release()
	return do(f)
}

// Replace is Replace of a file in the folder whose turn it is.
func (f *Turn) Replace(name string, kind Kind, data []byte) error {
	p := place{Turn: f, name: name}
	if err := p.look(); err != nil {
		return err
	}
	return p.replace(kind, data, nil)
}

// New writes a file that must not be there yet: ErrThere.
func New(path string, kind Kind, data []byte) error {
	if _, err := os.Stat(path); err == nil {
		return ErrThere
	}
	return at(path, func(p place) error {
		if p.old != nil {
			return ErrThere
		}
		return p.replace(kind, data, nil)
	})
}

// Replace writes a file, in the place of one that is there.
func Replace(path string, kind Kind, data []byte) error {
	return at(path, func(p place) error { return p.replace(kind, data, nil) })
}

// Through writes a file, in the place of one that is there, with fill.
func Through(path string, kind Kind, fill func(*disk.File) error) error {
	return at(path, func(p place) error { return p.through(kind, fill, nil) })
}

func (p place) replace(kind Kind, data []byte, still func() error) error {
	return p.through(kind, func(f *disk.File) error {
		_, err := f.Write(data)
		return err
	}, still)
}

// through writes beside the file and renames; still is asked at the last moment.
func (p place) through(kind Kind, fill func(*disk.File) error, still func() error) error {
	part, err := p.beside(kind, p.old, fill)
	if err != nil {
		return err
	}
	if still != nil {
		err = still()
	}
	if err == nil {
		err = disk.Rename(part, p.path())
	}
	if err != nil {
		removed(part)
		return read.Bare(err)
	}
	return read.Bare(disk.SyncFolder(p.Turn.path))
}

// beside writes a whole file of a passing name, with the permissions of the one that it
// is going to replace.
func (f *Turn) beside(kind Kind, old fs.FileInfo, fill func(*disk.File) error) (name string, err error) {
	name = filepath.Join(f.path, passing())
	file, err := disk.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, f.permissions(kind))
	if err != nil {
		return "", read.Bare(err)
	}
	if old != nil {
		err = keep(file, old)
	}
	if err == nil {
		err = fill(file)
	}
	if err == nil {
		err = file.Sync()
	}
	if closed := file.Close(); err == nil {
		err = closed
	}
	if err != nil {
		removed(name)
		return "", read.Bare(err)
	}
	return name, nil
}

// keep gives a file the owner and the permissions of another. Who is neither the owner
// nor the superuser can keep the group only: in a shared folder that will do.
func keep(f *disk.File, old fs.FileInfo) error {
	if uid, gid, _, ok := disk.Owner(old); ok {
		mine, err := f.Stat()
		if err != nil {
			return err
		}
		if u, g, _, _ := disk.Owner(mine); u != uid || g != gid {
			if f.Chown(uid, gid) != nil && f.Chown(-1, gid) != nil {
				return errors.New("it belongs to others, and would no longer; work on a copy")
			}
		}
	}
	return f.Chmod(old.Mode().Perm())
}

// permissions are those of a new file, before the umask.
func (f *Turn) permissions(kind Kind) fs.FileMode {
	if kind == Open {
		return 0o666
	}
	info, err := os.Stat(f.path)
	if err != nil || info.Mode()&fs.ModeSticky != 0 || info.Mode().Perm()&0o020 == 0 {
		return 0o600
	}
	return 0o600 | info.Mode().Perm()&0o066
}

// passing is a name of a file that is not finished.
func passing() string { return fmt.Sprintf("%s%016x%s", passingHead, rand.Uint64(), passingTail) }

const passingHead, passingTail = ".hisspoint-", ".tmp"

// removed removes what is not wanted any more. What resists is tried once more, and is
// left to the next who writes there.
func removed(path string) {
	if err := disk.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		disk.Remove(path)
	}
}
