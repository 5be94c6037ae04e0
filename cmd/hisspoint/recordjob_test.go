package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/soundcard"
)

// fakeCard has one input that hears a tone in noise, twenty times faster than life.
type fakeCard struct {
	at     int
	closed atomic.Bool
}

var fakeDevice = soundcard.Device{ID: "fake", Name: "Fake line in", Format: soundcard.Format{Rate: 8000, Channels: 1, Bits: 16}, Default: true}

func (c *fakeCard) Inputs() ([]soundcard.Device, error)              { return []soundcard.Device{fakeDevice}, nil }
func (c *fakeCard) Outputs() ([]soundcard.Device, error)             { return nil, nil }
func (c *fakeCard) Record(soundcard.Device) (soundcard.Input, error) { return c, nil }
func (c *fakeCard) Device() soundcard.Device                         { return fakeDevice }
func (c *fakeCard) Format() soundcard.Format                         { return fakeDevice.Format }
func (c *fakeCard) Close() error                                     { c.closed.Store(true); return nil }
func (c *fakeCard) Play(soundcard.Device, soundcard.Format, time.Duration, func([]float64) int) (soundcard.Output, error) {
	return nil, assert.AnError
}

func (c *fakeCard) Read(block []float64) (int, error) {
	if c.closed.Load() {
		return 0, soundcard.ErrClosed
	}
	n := min(len(block), 160)
	for i := range n {
		k := float64(c.at + i)
		block[i] = 0.1*math.Sin(2*math.Pi*1000*k/8000) + 0.005*math.Sin(k*k*0.1)
	}
	c.at += n
	time.Sleep(time.Millisecond)
	return n, nil
}

func withFakeCard(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"XDG_CONFIG_HOME", "HOME", "AppData"} {
		t.Setenv(name, dir)
	}
	was := openCard
	openCard = func() (soundcard.Card, error) { return &fakeCard{}, nil }
	t.Cleanup(func() { openCard = was })
}

// How a session ended is said, with what comes next.
func TestRecordSaysHowItEnded(t *testing.T) {
	withFakeCard(t)
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "job.yaml"), []byte("job: \"7\"\nset: {description: x}\nrounds:\n  as_left:\n    tests:\n      - bench_floor: {}\n"), 0o644))
	for _, c := range []struct{ answers, want string }{
		{"\nq\n", "Stopped; go on with: hisspoint record " + filepath.ToSlash(dir) + "\n"},
		{"\n\n\n", "Job 7, As left: nothing is left to record.\n  next: hisspoint report " + filepath.ToSlash(dir) + "\n"},
	} {
		var out, err strings.Builder
		assert.Equal(t, exitDone, program([]string{"record", dir, "--for", "1s"}, strings.NewReader(c.answers), &out, &err), err.String())
		assert.True(t, strings.HasSuffix(out.String(), c.want), out.String())
	}
}

func TestCardListsAndSaysWhatIsMissing(t *testing.T) {
	withFakeCard(t)
	var out, err strings.Builder
	assert.Equal(t, exitDone, program([]string{"card", "--list"}, strings.NewReader(""), &out, &err))
	assert.Contains(t, out.String(), "Fake line in  8000 Hz  1 ch.  16 bit  the system's choice")
	assert.Equal(t, exitTrouble, program([]string{"card"}, strings.NewReader(""), &out, &err))
	assert.Contains(t, err.String(), "there is no sound output")
	err.Reset()
	assert.Equal(t, exitTrouble, program([]string{"card", "gone.wav"}, strings.NewReader(""), &out, &err))
	assert.Equal(t, "hisspoint: gone.wav: no such file; check the name and the folder\n", err.String())
}
