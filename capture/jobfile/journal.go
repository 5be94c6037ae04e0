package jobfile

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"hisspoint/capture/jobfile/whole"
)

// JournalName is the name of the journal that lies beside a job file: what each command
// found there, so that it can be taken back.
const JournalName = ".hisspoint-journal"

// Entries of a journal that are kept, once it has grown to twice as many.
const journalKeeps = 200

// Change is one command in the journal of a job.
type Change struct {
	At      time.Time `json:"at"`
	Command string    `json:"command"`
	Before  string    `json:"before"` // SHA-256 of the file that it found, and of the one that it left
	After   string    `json:"after"`
	Text    string    `json:"text"` // the file that it found
}

func sum(data []byte) string {
	s := sha256.Sum256(data)
	return hex.EncodeToString(s[:])
}

func journalOf(file string) string { return filepath.Join(filepath.Dir(file), JournalName) }

// note writes a change into the journal before the file itself changes. Whenever that
// is cut short, the sums tell whether the file changed too.
func note(file, command string, before, after []byte) error {
	name := journalOf(file)
	line, err := json.Marshal(Change{time.Now().UTC().Truncate(time.Second), command, sum(before), sum(after), string(before)})
	if err != nil {
		return err
	}
	if old, err := Journal(file); err == nil && len(old) >= 2*journalKeeps {
		if err := keep(file, old[len(old)-journalKeeps:]); err != nil {
			return err
		}
	}
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o644)
	if err != nil {
		return unwritten(name, cause(err))
	}
	line = append(line, '\n')
	last := make([]byte, 1)
	if info, err := f.Stat(); err == nil && info.Size() > 0 { // what was cut stands on a line of its own
		if _, err := f.ReadAt(last, info.Size()-1); err == nil && last[0] != '\n' {
			line = append([]byte{'\n'}, line...)
		}
	}
	_, err = f.Write(line)
	if err == nil {
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return unwritten(name, cause(err))
	}
	return nil
}

func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// Journal lists the changes that the journal of a job file holds, oldest first. Lines
// that cannot be read, as the last of one that was cut, are left out.
func Journal(file string) ([]Change, error) {
	data, err := os.ReadFile(journalOf(file))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, unreadable(journalOf(file), err)
	}
	var out []Change
	lines := bufio.NewScanner(bytes.NewReader(data))
	lines.Buffer(nil, len(data)+1)
	for lines.Scan() {
		var c Change
		if json.Unmarshal(lines.Bytes(), &c) == nil && sum([]byte(c.Text)) == c.Before {
			out = append(out, c)
		}
	}
	return out, lines.Err()
}

func keep(file string, changes []Change) error {
	var out bytes.Buffer
	for _, c := range changes {
		line, err := json.Marshal(c)
		if err != nil {
			return err
		}
		out.Write(append(line, '\n'))
	}
	if err := whole.Write(journalOf(file), out.Bytes(), 0o644); err != nil {
		return unwritten(journalOf(file), err)
	}
	return nil
}

// Undo takes back the last command that changed a job file, and says which that was.
// A file that was changed since by other means is left alone unless anyway.
func Undo(fileOrFolder string, anyway bool) (Change, error) {
	file := fileOf(fileOrFolder)
	data, err := read(file)
	if err != nil {
		return Change{}, err
	}
	changes, err := Journal(file)
	if err != nil {
		return Change{}, err
	}
	for len(changes) > 0 {
		last := changes[len(changes)-1]
		changes = changes[:len(changes)-1]
		switch now := sum(data); {
		case now == last.Before: // it was killed before it changed anything
			continue
		case now != last.After && !anyway:
			return Change{}, fmt.Errorf("%s: was changed since by other means than hisspoint job; look at it, then take back %q with --anyway", slashed(file), last.Command)
		}
		if err := replace(file, []byte(last.Text)); err != nil {
			return Change{}, err
		}
		return last, keep(file, changes)
	}
	return Change{}, fmt.Errorf("%s: there is nothing to take back", slashed(file))
}
