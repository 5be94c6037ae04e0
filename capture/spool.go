package capture

import (
	"errors"
	"fmt"
	"io"
	"os"
)

// OpenStdin copies a stream to a temporary file in dir ("" for the system's
// place) and opens that, since a recording is read more than once. Its name is
// "-". The function that is returned closes and removes the file.
func OpenStdin(r io.Reader, dir string) (*File, func() error, error) {
	file, err := os.CreateTemp(dir, "hisspoint-*.spool")
	if err != nil {
		return nil, nil, fmt.Errorf("-: cannot make a temporary file for standard input: %w", plainPath(err))
	}
	remove := func() error {
		return errors.Join(file.Close(), os.Remove(file.Name()))
	}
	f, err := spool(r, file)
	if err != nil {
		remove()
		return nil, nil, fmt.Errorf("-: %w", err)
	}
	return f, remove, nil
}

func spool(r io.Reader, file *os.File) (*File, error) {
	n, err := io.Copy(onlyWriter{file}, r)
	var we writeError
	switch {
	case errors.As(err, &we):
		return nil, fmt.Errorf("standard input cannot be kept in %s: %w; free some space or set TMPDIR", file.Name(), plainPath(we.error))
	case err != nil:
		return nil, fmt.Errorf("standard input broke off after %d bytes: %w", n, err)
	case n == 0:
		return nil, errors.New("standard input is empty; pipe a recording in")
	}
	return fromFile(file, "-")
}

// writeError tells a full disk from a broken pipe.
type writeError struct{ error }

type onlyWriter struct{ w io.Writer }

func (o onlyWriter) Write(b []byte) (int, error) {
	n, err := o.w.Write(b)
	if err != nil {
		err = writeError{err}
	}
	return n, err
}

func plainPath(err error) error {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}
