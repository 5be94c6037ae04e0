package write

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"

	"hisspoint/capture/doors/disk"
	"hisspoint/capture/doors/read"
)

// Part is one of several files that belong together.
type Part struct {
	Name string // within the folder
	Data []byte
	// Ours tells whether a file of that name that is there already may be replaced; nil:
	// it may. It is shown at most MostOurs bytes.
	Ours func(old []byte) bool
}

// MostOurs is how much of a file is looked at to tell whose it is.
const MostOurs = 64 << 20

// journal names the files of a set that is whole and has not all its names yet.
const journal = ".hisspoint-set.tmp"

// move is one file of a set on its way.
type move struct {
	New, Name string // a passing name, and the one that it gets
	aside     string // where the old one waits until all is done; empty: there was none
	moved     bool
}

// NotOurs is a file that this program did not write, and that stays.
type NotOurs struct{ Name string }

func (e NotOurs) Error() string {
	return "is there already and was not written by this program for this; it stays as it is"
}

// Together writes files of one folder so that all of them appear or none does. Where
// one that is there is not ours, nothing is written: NotOurs.
func Together(dir string, kind Kind, parts []Part) (err error) {
	f, err := hold(dir)
	if err != nil {
		return err
	}
	defer f.release()
	for _, p := range parts {
		if err := f.mayReplace(p); err != nil {
			return err
		}
	}
	var moves []move
	defer func() {
		for _, m := range moves {
			if err != nil && !m.moved {
				removed(filepath.Join(f.path, m.New))
			}
		}
	}()
	for _, p := range parts {
		at := place{Turn: f, name: p.Name}
		if err := at.look(); err != nil {
			return fmt.Errorf("%s: %w", p.Name, err)
		}
		name, err := f.beside(kind, at.old, func(file *disk.File) error {
			_, err := file.Write(p.Data)
			return err
		})
		if err != nil {
			return fmt.Errorf("%s: %w", p.Name, err)
		}
		moves = append(moves, move{New: filepath.Base(name), Name: p.Name})
	}
	return f.commit(moves)
}

// mayReplace looks whose a file is that stands where one is to be written.
func (f *Turn) mayReplace(p Part) error {
	name := filepath.Join(f.path, p.Name)
	if _, err := os.Lstat(name); errors.Is(err, fs.ErrNotExist) || p.Ours == nil {
		return nil
	}
	file, err := read.Open(name)
	if err != nil {
		return NotOurs{p.Name}
	}
	defer file.Close()
	head := make([]byte, min(file.Size(), MostOurs))
	if _, err := file.ReadAt(head, 0); err != nil || !p.Ours(head) {
		return NotOurs{p.Name}
	}
	return nil
}

// commit gives all files of a set their names, or takes back what it did. From the
// moment the journal is on the disk, whoever comes next finishes what a process that
// dies has begun.
func (f *Turn) commit(moves []move) error {
	text, err := json.Marshal(moves)
	if err != nil {
		return err
	}
	part, err := f.beside(Private, nil, func(file *disk.File) error {
		_, err := file.Write(text)
		return err
	})
	if err == nil {
		if err = disk.Rename(part, filepath.Join(f.path, journal)); err != nil {
			removed(part)
		}
	}
	if err == nil {
		err = disk.SyncFolder(f.path)
	}
	for i := 0; err == nil && i < len(moves); i++ {
		err = f.move(&moves[i])
	}
	if err == nil {
		err = disk.SyncFolder(f.path)
	}
	if err != nil {
		removed(filepath.Join(f.path, journal))
		f.undo(moves)
		return read.Bare(err)
	}
	removed(filepath.Join(f.path, journal))
	for _, m := range moves {
		if m.aside != "" {
			removed(filepath.Join(f.path, m.aside))
		}
	}
	return nil
}

func (f *Turn) move(m *move) error {
	name := filepath.Join(f.path, m.Name)
	if _, err := os.Lstat(name); err == nil {
		aside := passing()
		if err := disk.Link(name, filepath.Join(f.path, aside)); err != nil {
			// A file system without second names: for a moment there is none.
			if err := disk.Rename(name, filepath.Join(f.path, aside)); err != nil {
				return err
			}
		}
		m.aside = aside
	}
	if err := disk.Rename(filepath.Join(f.path, m.New), name); err != nil {
		return err
	}
	m.moved = true
	return nil
}

// undo puts the old files back.
func (f *Turn) undo(moves []move) {
	for i := range moves {
		m := &moves[i]
		name := filepath.Join(f.path, m.Name)
		switch {
		case m.aside != "" && !m.moved: // the old one still stands, unless it had to be moved away
			if _, err := os.Lstat(name); err == nil {
				removed(filepath.Join(f.path, m.aside))
				continue
			}
			fallthrough
		case m.aside != "":
			if disk.Rename(filepath.Join(f.path, m.aside), name) != nil {
				disk.Rename(filepath.Join(f.path, m.aside), name)
			}
		case m.moved:
			removed(name)
		}
	}
}

var passingName = regexp.MustCompile(`^` + regexp.QuoteMeta(passingHead) + `[0-9a-f]{16}` + regexp.QuoteMeta(passingTail) + `$`)

// recover finishes a set that a dead process left whole, and removes what else it left.
// Nobody else writes here meanwhile.
func (f *Turn) recover() error {
	entries, err := os.ReadDir(f.path)
	if err != nil {
		return nil // a folder that may be written to and not be read
	}
	for _, e := range entries {
		if e.Name() == journal {
			f.finish()
		}
	}
	for _, e := range entries {
		if passingName.MatchString(e.Name()) {
			disk.RemoveAll(filepath.Join(f.path, e.Name()))
		}
	}
	return nil
}

func (f *Turn) finish() {
	file := filepath.Join(f.path, journal)
	text, err := read.Whole(file, MostOurs)
	var moves []move
	if err == nil && json.NewDecoder(bytes.NewReader(text)).Decode(&moves) == nil {
		for _, m := range moves {
			// A journal that somebody made by hand moves nothing but what is ours.
			if passingName.MatchString(m.New) && filepath.IsLocal(m.Name) && filepath.Base(m.Name) == m.Name {
				disk.Rename(filepath.Join(f.path, m.New), filepath.Join(f.path, m.Name))
			}
		}
		disk.SyncFolder(f.path)
	}
	removed(file)
}
