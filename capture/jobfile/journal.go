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
	"path/filepath"
	"time"

	door "hisspoint/capture/doors/read"
	"hisspoint/capture/doors/write"
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

// mostJournal is more than a journal of the largest job files grows to.
const mostJournal = 1 << 30

// journalOf is the journal beside a job file, where a link leads to it, too.
func journalOf(file string) string {
	if real, err := filepath.EvalSymlinks(file); err == nil {
		file = real
	}
	return filepath.Join(filepath.Dir(file), JournalName)
}

// note writes a change into the journal before the file itself changes. Whenever that
// is cut short, the sums tell whether the file changed too.
func note(turn *write.Turn, file, command string, before, after []byte) error {
	line, err := json.Marshal(Change{time.Now().UTC().Truncate(time.Second), command, sum(before), sum(after), string(before)})
	if err != nil {
		return err
	}
	if old, err := Journal(file); err == nil && len(old) >= 2*journalKeeps {
		if err := keep(turn, file, old[len(old)-journalKeeps:]); err != nil {
			return err
		}
	}
	return unwritten(journalOf(file), turn.Line(JournalName, "", string(line)))
}

// Journal lists the changes that the journal of a job file holds, oldest first. Lines
// that cannot be read, as the last of one that was cut, are left out.
func Journal(file string) ([]Change, error) {
	data, err := door.Whole(journalOf(file), mostJournal)
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

func keep(turn *write.Turn, file string, changes []Change) error {
	var out bytes.Buffer
	for _, c := range changes {
		line, err := json.Marshal(c)
		if err != nil {
			return err
		}
		out.Write(append(line, '\n'))
	}
	return unwritten(journalOf(file), turn.Replace(JournalName, write.Private, out.Bytes()))
}

// Undo takes back the last command that changed a job file, and says which that was.
// A file that was changed since by other means is left alone unless anyway.
func Undo(fileOrFolder string, anyway bool) (back Change, err error) {
	file := fileOf(fileOrFolder)
	err = wrote(file, write.Change(file, read, func(turn *write.Turn, data []byte) ([]byte, error) {
		changes, err := Journal(file)
		if err != nil {
			return nil, err
		}
		for len(changes) > 0 {
			last := changes[len(changes)-1]
			changes = changes[:len(changes)-1]
			switch now := sum(data); {
			case now == last.Before: // it was killed before it changed anything
				continue
			case now != last.After && !anyway:
				return nil, fmt.Errorf("%s: was changed since by other means than hisspoint job; look at it, then take back %q with --anyway", slashed(file), last.Command)
			}
			back = last
			return []byte(last.Text), nil
		}
		return nil, fmt.Errorf("%s: there is nothing to take back", slashed(file))
	}))
	if err != nil {
		return Change{}, err
	}
	return back, forget(file, back)
}

// forget takes a change, and those that never came to be, off the end of the journal.
func forget(file string, back Change) error {
	var own error // names its file
	err := write.InTurn(filepath.Dir(journalOf(file)), func(turn *write.Turn) error {
		changes, err := Journal(file)
		for i := len(changes) - 1; i >= 0 && err == nil; i-- {
			if changes[i] == back {
				err = keep(turn, file, changes[:i])
				break
			}
		}
		own = err
		return nil
	})
	if own != nil {
		return own
	}
	return unwritten(journalOf(file), err)
}
