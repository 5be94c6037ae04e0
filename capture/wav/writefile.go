package wav

import (
	"fmt"
	"path/filepath"

	"hisspoint/capture/doors/disk"
	"hisspoint/capture/doors/write"
)

// WriteFile writes a whole file of one slice of samples a channel, all of the
// same length. It writes beside path and renames at the end, so that nothing
// half-written is ever seen under that name, and nothing stays if it fails.
// Format.Channels may be left 0. Errors name the file.
func WriteFile(path string, f Format, channels ...[]float64) (err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(path), err)
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
	return write.Through(path, write.Open, func(file *disk.File) error { return fillFile(file, f, channels) })
}

func fillFile(file *disk.File, f Format, channels [][]float64) error {
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
