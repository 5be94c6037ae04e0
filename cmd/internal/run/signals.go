package run

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"hisspoint/capture/doors/write"
	"hisspoint/capture/signal"
	"hisspoint/capture/wav"
)

// NewFolder tells why a folder cannot be made anew: what is there already is left
// alone, unless it is an empty folder. It makes nothing.
func (rn Runner) NewFolder(dir string) error {
	path := filepath.Clean(filepath.Join(rn.Dir, dir))
	entries, err := os.ReadDir(path)
	switch {
	case err == nil && len(entries) > 0:
		return fmt.Errorf("%s: exists and is not empty; name another folder, or remove it", display(dir))
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: is not a folder that can be written; name another", display(dir))
	}
	if above, err := os.Stat(filepath.Dir(path)); err != nil || !above.IsDir() {
		return fmt.Errorf("%s: cannot be written there; make the folder above it, or name another", display(dir))
	}
	return nil
}

// WriteSignals writes test signals of so many bits, and other files by name, into
// a new folder. It writes beside it and renames at the end, so that a folder with
// half of them is never seen.
func (rn Runner) WriteSignals(dir string, bits int, signals []signal.Signal, others map[string][]byte) error {
	if err := rn.NewFolder(dir); err != nil {
		return err
	}
	shown := display(dir)
	path := filepath.Clean(filepath.Join(rn.Dir, dir))
	var failed error // of a file in it
	err := write.NewFolder(path, func(beside string) error {
		failed = rn.fill(beside, shown, bits, signals, others)
		return failed
	})
	switch {
	case failed != nil:
		return failed
	case err != nil:
		return fmt.Errorf("%s: cannot be put in its place (%w); name another folder", shown, err)
	}
	return nil
}

func (rn Runner) fill(dir, shown string, bits int, signals []signal.Signal, others map[string][]byte) error {
	for i, x := range signals {
		if err := wav.WriteFile(filepath.Join(dir, x.Name+".wav"), wav.Format{Rate: x.Rate, Bits: bits}, x.Dithered(bits)); err != nil {
			return fmt.Errorf("%s: %s.wav cannot be written; is the disk full?", shown, x.Name)
		}
		if rn.Progress != nil {
			rn.Progress(float64(i+1), len(signals), "recordings")
		}
	}
	for name, b := range others {
		if err := write.New(filepath.Join(dir, name), write.Open, b); err != nil {
			return fmt.Errorf("%s: %s cannot be written; is the disk full?", shown, name)
		}
	}
	return nil
}
