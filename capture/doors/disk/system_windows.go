package disk

import (
	"errors"
	"io/fs"
	"math"

	"golang.org/x/sys/windows"
)

// NoWait and NoFollow have no meaning here: pipes and devices have names of their own.
const (
	NoWait   = 0
	NoFollow = 0
)

// syncFolder does nothing: the system keeps names with their files.
func syncFolder(string) error { return nil }

// Free is how many bytes a person may still write where a folder lies; ok is false
// where the system does not tell.
func Free(dir string) (bytes int64, ok bool) {
	name, err := windows.UTF16PtrFromString(dir)
	if err != nil {
		return 0, false
	}
	var free uint64
	if err := windows.GetDiskFreeSpaceEx(name, &free, nil, nil); err != nil {
		return 0, false
	}
	return int64(min(free, math.MaxInt64)), true
}

// Owner is not looked at: permissions come from the folder.
func Owner(fs.FileInfo) (uid, gid int, names uint64, ok bool) { return 0, 0, 1, false }

// Stamp adds nothing to a file's size and time.
func Stamp(fs.FileInfo) [2]int64 { return [2]int64{} }

// TryLock takes the lock on an open file, if nobody has it. The byte that is locked
// lies far behind the end, so that others can read who holds it.
func TryLock(f *File) (got bool, err error) {
	place := windows.Overlapped{OffsetHigh: 1 << 30}
	err = windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, &place)
	switch {
	case err == nil:
		return true, nil
	case errors.Is(err, windows.ERROR_LOCK_VIOLATION), errors.Is(err, windows.ERROR_IO_PENDING):
		return false, nil
	case errors.Is(err, windows.ERROR_NOT_SUPPORTED), errors.Is(err, windows.ERROR_INVALID_FUNCTION):
		return false, errors.ErrUnsupported
	}
	return false, err
}

// RemoveOpen cannot remove a file that is open: it goes away when it is closed.
func RemoveOpen(*File) error { return errors.ErrUnsupported }
