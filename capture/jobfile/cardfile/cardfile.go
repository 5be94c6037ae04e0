// Package cardfile reads and writes card.json, the qualification of a sound card
// that lies beside the recordings made with it.
package cardfile

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/whole"
)

// Name is the file in a job's folder, or in that of its recordings.
const Name = "card.json"

// maxBytes is far more than a qualification takes.
const maxBytes = 1 << 20

// In is the qualification that lies in a folder; nil where there is none. A link
// that leads out of the folder is refused.
func In(dir string) (*job.Qualified, error) {
	file := filepath.Join(dir, Name)
	if pipe(file) {
		return nil, refused(file, errNoFile)
	}
	f, err := os.OpenInRoot(dir, Name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, refused(file, bare(err))
	}
	return read(file, f)
}

// Load reads a qualification from a file of any name.
func Load(file string) (*job.Qualified, error) {
	if pipe(file) {
		return nil, refused(file, errNoFile)
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read (%w); name the file that hisspoint card wrote", filepath.ToSlash(file), bare(err))
	}
	return read(file, f)
}

var errNoFile = errors.New("it is no file")

// pipe tells whether a file is one: opening it would wait for somebody to write.
func pipe(file string) bool {
	info, err := os.Stat(file)
	return err == nil && info.Mode()&fs.ModeNamedPipe != 0
}

func read(file string, f *os.File) (*job.Qualified, error) {
	defer f.Close()
	if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() {
		return nil, refused(file, errNoFile)
	}
	data, err := io.ReadAll(io.LimitReader(f, maxBytes+1))
	switch {
	case err != nil:
		return nil, refused(file, bare(err))
	case len(data) > maxBytes:
		return nil, refused(file, errors.New("it is too large"))
	}
	q, err := Parse(data)
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
		err = whole.Write(file, data, 0o644)
	}
	if err != nil {
		return fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(file), bare(err))
	}
	return nil
}

func refused(file string, err error) error {
	return fmt.Errorf("%s: is no qualification that hisspoint card wrote (%w); take it away, and write it again with hisspoint card", filepath.ToSlash(file), err)
}

// bare is an error without the path that its message would repeat.
func bare(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
