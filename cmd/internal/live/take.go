// Package live works with the sound card while a person is at the bench: it
// records so that nothing is lost, and feeds what is measured live.
package live

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"hisspoint/capture/doors/disk"
	"hisspoint/capture/doors/read"
	"hisspoint/capture/doors/write"
	"hisspoint/capture/soundcard"
	"hisspoint/capture/wav"
)

// How often a recording that grows is brought to the disk: what a crash of the
// program or of the machine can cost.
const (
	flushEvery = 200 * time.Millisecond
	syncEvery  = time.Second
)

// Take is a recording while it is made. It stands under a name of its own, a
// valid file at every moment, and gets its name when it is whole.
type Take struct {
	file    string // what it will be called
	part    string // what it is called until then
	handle  *disk.File
	w       *wav.Writer
	rate    int
	frame   int
	frames  int64
	flushed time.Time
	synced  time.Time
}

// NewTake begins a recording. A file that is there already is never touched.
func NewTake(file string, f soundcard.Format) (*Take, error) {
	if _, err := os.Lstat(file); !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: already exists and was not changed; give another name", slashed(file))
	}
	if dir := filepath.Dir(file); dir != "." {
		if err := write.Folder(dir); err != nil {
			return nil, fmt.Errorf("%s: the folder cannot be made; name another", slashed(dir))
		}
	}
	handle, err := unfinished(file)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be written: %w", slashed(file), read.Bare(err))
	}
	t := &Take{file: file, part: handle.Name(), handle: handle, rate: f.Rate, frame: f.Channels}
	if t.w, err = wav.NewWriter(handle, wav.Format{Rate: f.Rate, Channels: f.Channels, Bits: f.Bits, Float: f.Float}); err != nil {
		handle.Close()
		write.Drop(t.part)
		return nil, fmt.Errorf("%s: %w", slashed(file), err)
	}
	t.flushed, t.synced = time.Now(), time.Now()
	return t, nil
}

// unfinished makes the file that a recording stands in while it grows:
// rx.unfinished.wav beside rx.wav. One left by a crash is never overwritten.
func unfinished(file string) (*disk.File, error) {
	base := strings.TrimSuffix(file, filepath.Ext(file))
	for n := 1; ; n++ {
		name := base + ".unfinished.wav"
		if n > 1 {
			name = fmt.Sprintf("%s.unfinished-%d.wav", base, n)
		}
		handle, err := write.Grow(name)
		if err == nil || !errors.Is(err, fs.ErrExist) || n > 999 {
			return handle, err
		}
	}
}

// Add appends interleaved samples.
func (t *Take) Add(block []float64) error {
	err := t.w.Write(block)
	now := time.Now()
	if err == nil && now.Sub(t.flushed) >= flushEvery {
		err, t.flushed = t.w.Flush(), now
	}
	if err == nil && now.Sub(t.synced) >= syncEvery {
		err, t.synced = t.handle.Sync(), now
	}
	if err != nil {
		return t.full(err)
	}
	t.frames += int64(len(block) / t.frame)
	return nil
}

// full says that no more could be written.
func (t *Take) full(err error) error {
	return fmt.Errorf("%s: could not be written on (%w); make room and record again", slashed(t.file), read.Bare(err))
}

// Seconds is how long the recording is so far.
func (t *Take) Seconds() float64 { return float64(t.frames) / float64(t.rate) }

// Finish gives the recording its name.
func (t *Take) Finish() error {
	if err := t.close(); err != nil {
		err = t.full(err)
		if kept := t.Keep(); kept != "" {
			err = fmt.Errorf("%w; %s", err, kept)
		}
		return err
	}
	switch err := write.Named(t.part, t.file); {
	case errors.Is(err, write.ErrThere):
		return fmt.Errorf("%s: was made by another program while you recorded, and was left alone; the recording is kept in %s", slashed(t.file), slashed(t.part))
	case err != nil:
		return fmt.Errorf("%s: could not be renamed (%w); the recording is kept in %s", slashed(t.file), err, slashed(t.part))
	}
	return nil
}

func (t *Take) close() error {
	err := t.w.Close()
	if err == nil {
		err = t.handle.Sync()
	}
	if closed := t.handle.Close(); err == nil {
		err = closed
	}
	return err
}

// Keep ends a recording that was cut short and says where it is kept, and how much of it
// the file holds by its own header; one without sound leaves nothing.
func (t *Take) Keep() string {
	t.close()
	t.frames = t.w.Frames()
	if t.frames == 0 {
		write.Drop(t.part)
		return ""
	}
	return fmt.Sprintf("%.1f s (%d samples) are kept in %s", t.Seconds(), t.frames, slashed(t.part))
}

// Drop ends a recording that nobody wants.
func (t *Take) Drop() {
	t.handle.Close()
	write.Drop(t.part)
}

// Record records until enough, until the input ends or until stop is closed,
// which both are no errors. hear is told of every block, if anybody asks.
func (t *Take) Record(in soundcard.Input, frames int64, stop <-chan struct{}, hear func(block []float64)) error {
	block := make([]float64, 1<<12*t.frame)
	for t.frames < frames {
		select {
		case <-stop:
			return nil
		default:
		}
		most := min(int64(len(block)), (frames-t.frames)*int64(t.frame))
		n, err := in.Read(block[:most])
		switch {
		case err == io.EOF:
			return nil
		case err != nil:
			return err
		}
		if err := t.Add(block[:n]); err != nil {
			return err
		}
		if hear != nil {
			hear(block[:n])
		}
	}
	return nil
}

func slashed(path string) string { return filepath.ToSlash(path) }
