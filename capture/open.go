package capture

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"path/filepath"

	door "hisspoint/capture/doors/read"
	"hisspoint/capture/note"
	"hisspoint/capture/wav"
)

// File is an open file of sound. Its recordings read from it while they are
// used, so it is closed after them.
type File struct {
	Channels []Recording // one for each channel, in order
	bytes    source      // nil: they are in memory
}

// source is the bytes of a file, which tell whether they are still those that were
// there when it was opened.
type source interface {
	io.ReaderAt
	Unchanged() error
	Close() error
}

// Close closes the file. Its recordings yield an error from then on.
func (f *File) Close() error {
	if f.bytes == nil {
		return nil
	}
	return f.bytes.Close()
}

// Open opens a recording: WAVE (RIFF, RIFX, RF64, BW64) or FLAC. What its
// container showed travels with each recording as warnings, with the SHA-256
// of the whole file. Errors are one line that names the file, with forward
// slashes, what is wrong and what to do. "-" is refused: see OpenStdin.
func Open(path string) (*File, error) {
	if path == "-" {
		return nil, errors.New("-: means standard input and cannot be opened as a file; give ./- for a file of that name")
	}
	f, err := open(path, filepath.ToSlash(path))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", filepath.ToSlash(path), err)
	}
	return f, nil
}

func open(path, name string) (*File, error) {
	file, err := door.Open(path)
	switch {
	case errors.Is(err, door.ErrFolder):
		return nil, errors.New("is a folder; name the recordings in it")
	case errors.Is(err, door.ErrDevice):
		return nil, errors.New("is not a file but a device or pipe; pipe it in and give - as the file")
	case errors.Is(err, fs.ErrNotExist):
		return nil, errors.New("no such file; check the name and the folder")
	case errors.Is(err, fs.ErrPermission):
		return nil, errors.New("may not be read; check its permissions")
	case err != nil:
		return nil, fmt.Errorf("cannot be read: %w", err)
	case file.Size() == 0:
		file.Close()
		return nil, errors.New("is empty; record again")
	}
	return fromFile(file, file.Size(), name)
}

// unwrapPath drops the operation and path that package os puts before an
// error, since the file is named already.
func unwrapPath(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return fmt.Errorf("cannot be read: %w", pe.Err)
	}
	return err
}

// fromFile makes recordings of a source, which is closed where that fails.
func fromFile(file source, size int64, name string) (*File, error) {
	f, err := read(file, size, name)
	if err == nil {
		err = file.Unchanged() // container and hash are of one state of the file
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	f.bytes = file
	return f, nil
}

// Read makes recordings of size bytes that are not a file of their own, as Open
// does of a file; name is what they are called. There is nothing to close.
func Read(r io.ReaderAt, size int64, name string) (*File, error) {
	f, err := read(r, size, name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return f, nil
}

func read(r io.ReaderAt, size int64, name string) (*File, error) {
	f, err := recordings(r, size, name)
	if err != nil {
		return nil, err
	}
	sum, err := digest(r, size)
	if err != nil {
		return nil, err
	}
	for i := range f.Channels {
		f.Channels[i].Origin.SHA256 = sum
	}
	return f, nil
}

func recordings(r io.ReaderAt, size int64, name string) (*File, error) {
	head := make([]byte, min(size, sniffBytes))
	n, err := r.ReadAt(head, 0)
	if err != nil && err != io.EOF {
		return nil, unwrapPath(err)
	}
	switch kind := sniff(head[:n]); kind {
	case "wav":
		return fromWave(r, size, name)
	case "flac":
		return fromFLAC(r, size, name)
	default:
		return nil, refusal(kind)
	}
}

func digest(r io.ReaderAt, size int64) (string, error) {
	h := sha256.New()
	buffer := make([]byte, min(size+1, 1<<17))
	if _, err := io.CopyBuffer(h, io.NewSectionReader(r, 0, 1<<62), buffer); err != nil {
		return "", unwrapPath(err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

func fromWave(r io.ReaderAt, size int64, name string) (*File, error) {
	info, err := wav.Parse(r, size)
	if err != nil {
		return nil, err
	}
	o := Origin{
		File: name, Container: info.Container, Encoding: string(info.Encoding),
		Bits: info.Bits, Channels: info.Channels,
	}
	for _, n := range info.Notes {
		o.Warnings = append(o.Warnings, Warning{Code: Code(n.Code), Says: note.Phrase(n.Text), AtS: n.AtS})
	}
	return spread(o, info.Rate, info.Frames, named{name, r, wav.NewReader(r, info)}), nil
}

// spread makes the recordings of all channels of one source.
func spread(o Origin, rate int, total int64, s Source) *File {
	f := &File{}
	for c := 1; c <= o.Channels; c++ {
		o.Channel = c
		f.Channels = append(f.Channels, New(o, rate, total, s))
	}
	return f
}

// named puts the name of the file before the errors of its source, and tells of a file
// that changed while it was read.
type named struct {
	name string
	from io.ReaderAt
	Source
}

func (s named) Blocks(channel int, first, n int64) iter.Seq2[[]float64, error] {
	return func(yield func([]float64, error) bool) {
		for block, err := range s.Source.Blocks(channel, first, n) {
			if err != nil {
				block, err = nil, fmt.Errorf("%s: %w", s.name, unwrapPath(err))
			}
			if !yield(block, err) || err != nil {
				return
			}
		}
		if file, ok := s.from.(source); ok {
			if err := file.Unchanged(); err != nil {
				yield(nil, fmt.Errorf("%s: %w", s.name, err))
			}
		}
	}
}
