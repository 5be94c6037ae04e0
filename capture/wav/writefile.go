package wav

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
)

// WriteFile writes a whole file of one slice of samples a channel, all of the
// same length. It writes beside path and renames at the end, so that nothing
// half-written is ever seen under that name, and nothing stays if it fails.
// Format.Channels may be left 0. Errors name the file.
func WriteFile(path string, f Format, channels ...[]float64) (err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("%s: %w", filepath.ToSlash(path), plain(err))
		}
	}()
	if f.Channels == 0 {
		f.Channels = len(channels)
	}
	if f.Channels != len(channels) {
		return fmt.Errorf("%d channels were announced and %d given", f.Channels, len(channels))
	}
	for _, c := range channels {
		if len(c) != len(channels[0]) {
			return fmt.Errorf("channels of different lengths, %d and %d samples", len(channels[0]), len(c))
		}
	}
	if err := f.check(); err != nil {
		return err
	}
	file, err := beside(path)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			file.Close()
			os.Remove(file.Name())
		}
	}()
	if err := fillFile(file, f, channels); err != nil {
		return err
	}
	if err := file.Close(); err != nil {
		return err
	}
	return os.Rename(file.Name(), path)
}

// beside makes a new file in the folder of path, with the permissions a new
// file gets there.
func beside(path string) (*os.File, error) {
	dir, name := filepath.Split(path)
	for try := 0; ; try++ {
		part := filepath.Join(dir, fmt.Sprintf(".%s.%08x.part", name, rand.Uint32()))
		file, err := os.OpenFile(part, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil || !errors.Is(err, os.ErrExist) || try > 100 {
			return file, err
		}
	}
}

func fillFile(file *os.File, f Format, channels [][]float64) error {
	w, err := NewWriter(file, f)
	if err != nil {
		return err
	}
	block := make([]float64, 0, blockFrames*f.Channels)
	for at := range channels[0] {
		for _, c := range channels {
			block = append(block, c[at])
		}
		if len(block) == cap(block) {
			if err := w.Write(block); err != nil {
				return err
			}
			block = block[:0]
		}
	}
	if err := w.Write(block); err != nil {
		return err
	}
	return w.Close()
}

// plain takes the temporary name out of an error of package os, which would
// only confuse: the file that could not be written is named already.
func plain(err error) error {
	var pe *os.PathError
	var le *os.LinkError
	switch {
	case errors.As(err, &pe):
		return fmt.Errorf("cannot be written: %w", pe.Err)
	case errors.As(err, &le):
		return fmt.Errorf("cannot be written: %w", le.Err)
	}
	return err
}
