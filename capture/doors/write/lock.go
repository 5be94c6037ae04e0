package write

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"hisspoint/capture/doors/disk"
	"hisspoint/capture/doors/read"
)

// lockName is the file in a folder that whoever writes there holds.
const lockName = ".hisspoint.lock"

// patience is how long a writer waits for another one; writing takes milliseconds.
const patience = 10 * time.Second

// Turn is a folder that nobody else writes to for the moment.
type Turn struct {
	path string // without links
	own  *sync.Mutex
	lock *disk.File // nil where the file system has no locks
}

// turns are the folders that this process writes to, one after the other.
var turns sync.Map // path -> *sync.Mutex

// hold waits for its turn in a folder and clears up behind a process that died there.
func hold(dir string) (*Turn, error) {
	path, err := filepath.EvalSymlinks(dir)
	if err == nil {
		path, err = filepath.Abs(path)
	}
	if err != nil {
		return nil, read.Bare(err)
	}
	own, _ := turns.LoadOrStore(path, &sync.Mutex{})
	f := &Turn{path: path, own: own.(*sync.Mutex)}
	f.own.Lock()
	if f.lock, err = take(filepath.Join(path, lockName)); err != nil {
		f.own.Unlock()
		return nil, err
	}
	if f.lock != nil {
		err = f.recover()
	}
	if err != nil {
		f.release()
		return nil, err
	}
	return f, nil
}

// take takes the lock file. It goes away with its holder, so whoever gets it looks
// whether it is still the one that stands in the folder.
func take(name string) (*disk.File, error) {
	end := time.Now().Add(patience)
	for wait := time.Millisecond; ; wait = min(2*wait, 20*time.Millisecond) {
		f, err := openLock(name)
		if err != nil {
			return nil, err
		}
		got, err := disk.TryLock(f)
		switch {
		case errors.Is(err, errors.ErrUnsupported):
			f.File.Close()
			os.Remove(name)
			return nil, nil
		case err != nil:
			f.File.Close()
			return nil, read.Bare(err)
		case got && stands(f, name):
			if err := sign(f); err != nil {
				drop(f)
				return nil, err
			}
			return f, nil
		}
		holder := ""
		if !got {
			holder = signature(f)
		}
		f.File.Close()
		if time.Now().After(end) {
			return nil, fmt.Errorf("%s writes there; try again when it is done", holder)
		}
		time.Sleep(wait)
	}
}

func openLock(name string) (*disk.File, error) {
	f, err := disk.OpenFile(name, os.O_RDWR|os.O_CREATE|disk.NoWait|disk.NoFollow, 0o666)
	if errors.Is(err, os.ErrPermission) { // of another user: it can be held all the same
		if other, err := disk.OpenFile(name, os.O_RDONLY|disk.NoWait|disk.NoFollow, 0); err == nil {
			return other, nil
		}
	}
	if err != nil {
		return nil, read.Bare(err)
	}
	info, err := f.Stat()
	if err == nil {
		_, _, names, _ := disk.Owner(info)
		if !info.Mode().IsRegular() || names > 1 {
			err = fmt.Errorf("%s is there and is no lock of this program; remove it", lockName)
		}
	}
	if err != nil {
		f.File.Close()
		return nil, read.Bare(err)
	}
	return f, nil
}

func stands(f *disk.File, name string) bool {
	mine, err := f.Stat()
	if err != nil {
		return false
	}
	there, err := os.Lstat(name)
	return err == nil && os.SameFile(mine, there)
}

// sign says in the lock who holds it. What cannot be written there is no reason to
// write nothing.
func sign(f *disk.File) error {
	host, _ := os.Hostname()
	text := fmt.Sprintf("process %d on %s, since %s,", os.Getpid(), host, time.Now().Format(time.TimeOnly))
	f.File.Truncate(0)
	f.File.WriteAt([]byte(text), 0)
	return nil
}

func signature(f *disk.File) string {
	b := make([]byte, 200)
	n, err := f.ReadAt(b, 0)
	text := strings.ToValidUTF8(string(b[:n]), "?")
	if err != nil && err != io.EOF || !strings.HasPrefix(text, "process ") {
		return "another process"
	}
	return text
}

// drop lets go of a lock file, which nobody else can have taken meanwhile.
func drop(f *disk.File) {
	if err := disk.Remove(f.Name()); err != nil && !errors.Is(err, os.ErrNotExist) {
		f.File.Close() // a system that removes no open file
		disk.Remove(f.Name())
		return
	}
	f.File.Close()
}

func (f *Turn) release() {
	if f.lock != nil {
		drop(f.lock)
	}
	f.own.Unlock()
}
