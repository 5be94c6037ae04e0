//go:build unix

package disk

import (
	"errors"
	"io/fs"
	"os"

	"golang.org/x/sys/unix"
)

// NoWait are flags with which opening a pipe, a device or a link returns at once.
const (
	NoWait   = unix.O_NONBLOCK | unix.O_NOCTTY
	NoFollow = unix.O_NOFOLLOW
)

func syncFolder(path string) error {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrPermission) {
		return nil // a folder that may be written to and not be read
	}
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil && !errors.Is(err, unix.EINVAL) && !errors.Is(err, unix.ENOTSUP) {
		return err
	}
	return nil
}

// Free is how many bytes a person may still write where a folder lies; ok is false
// where the system does not tell.
func Free(dir string) (bytes int64, ok bool) {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil {
		return 0, false
	}
	return int64(s.Bavail) * int64(s.Bsize), true
}

// Owner is whom a file belongs to, and by how many names it is known.
func Owner(info fs.FileInfo) (uid, gid int, names uint64, ok bool) {
	s, ok := info.Sys().(*unixStat)
	if !ok {
		return 0, 0, 1, false
	}
	return int(s.Uid), int(s.Gid), uint64(s.Nlink), true
}

// TryLock takes the lock on an open file, if nobody has it.
func TryLock(f *File) (got bool, err error) {
	err = unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	switch {
	case err == nil:
		return true, nil
	case errors.Is(err, unix.EWOULDBLOCK), errors.Is(err, unix.EINTR):
		return false, nil
	case errors.Is(err, unix.ENOTSUP), errors.Is(err, unix.EOPNOTSUPP), errors.Is(err, unix.ENOSYS), errors.Is(err, unix.ENOLCK), errors.Is(err, unix.EBADF):
		return false, errors.ErrUnsupported
	}
	return false, err
}

// RemoveOpen removes a file that is open, so that it is gone whatever happens next.
func RemoveOpen(f *File) error { return Remove(f.Name()) }
