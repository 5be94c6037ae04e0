// Package cardfile reads and writes card.json, the qualification of a sound card
// that lies beside the recordings made with it.
package cardfile

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"hisspoint/capture/doors/read"
	"hisspoint/capture/doors/write"
	"hisspoint/capture/job"
)

// Name is the file in a job's folder, or in that of its recordings.
const Name = "card.json"

// In is the qualification that lies in a folder; nil where there is none. A link
// that leads out of the folder is refused.
func In(dir string) (*job.Qualified, error) {
	data, err := read.WholeIn(dir, Name, read.MostCard)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return parsed(filepath.Join(dir, Name), data, err)
}

// Load reads a qualification from a file of any name.
func Load(file string) (*job.Qualified, error) {
	data, err := read.Whole(file, read.MostCard)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrPermission) {
		return nil, fmt.Errorf("%s: cannot be read (%w); name the file that hisspoint card wrote", filepath.ToSlash(file), err)
	}
	return parsed(file, data, err)
}

func parsed(file string, data []byte, err error) (*job.Qualified, error) {
	var q *job.Qualified
	if errors.Is(err, read.ErrFolder) || errors.Is(err, read.ErrDevice) {
		err = errors.New("it is not a file")
	}
	if err == nil {
		q, err = Parse(data)
	}
	if err != nil {
		return nil, refused(file, err)
	}
	return q, nil
}

// Parse reads a qualification from memory.
func Parse(data []byte) (*job.Qualified, error) {
	var q job.Qualified
	if err := json.Unmarshal(data, &q); err != nil {
		return nil, inWords(err)
	}
	if err := q.Check(); err != nil {
		return nil, err
	}
	return &q, nil
}

// inWords says what is wrong with JSON without the names of types in a program.
func inWords(err error) error {
	var other *json.UnmarshalTypeError
	switch {
	case !errors.As(err, &other):
		return errors.New("it is no JSON, or is cut off")
	case other.Field == "":
		return fmt.Errorf("it holds no object but a JSON %s", other.Value)
	}
	return fmt.Errorf("%s cannot be a JSON %s", other.Field, other.Value)
}

// Marshal is a qualification as the file holds it.
func Marshal(q job.Qualified) ([]byte, error) {
	data, err := json.MarshalIndent(q, "", "  ")
	return append(data, '\n'), err
}

// Write writes a qualification beside its place and renames it.
func Write(file string, q job.Qualified) error {
	data, err := Marshal(q)
	if err == nil {
		err = write.Replace(file, write.Private, data)
	}
	if err != nil {
		return fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(file), err)
	}
	return nil
}

func refused(file string, err error) error {
	return fmt.Errorf("%s: is no qualification that hisspoint card wrote (%w); take it away, and write it again with hisspoint card", filepath.ToSlash(file), err)
}
