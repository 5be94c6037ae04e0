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

const transmitJob = `job: "7"   # by hand
set: {description: invented FM transceiver, mode: fm}
rounds:
  as_found:
    tests:
      - deviation: {reference_deviation: 2 kHz}
      - sensitivity:
          recordings:
            - {level: 1 uV}
`

// Receive comes before transmit, whatever the order in the file, and the word has
// to be typed: Enter alone does not do.
func TestRecordAsksForTheDummyLoad(t *testing.T) {
	withFakeCard(t)
	dir := filepath.Join(t.TempDir(), "7")
	require.NoError(t, os.MkdirAll(dir, 0o777))
	file := filepath.Join(dir, "job.yaml")
	require.NoError(t, os.WriteFile(file, []byte(transmitJob), 0o644))
	// wiring; record 1 uV; skip the proposed level; Enter and yes are not the word; the
	// word; back to 1 uV, recorded again; the word again, and no further
	answers := []string{"", "", "s", "", "yes", "dummy", "b", "", "", "q"}
	var out, err strings.Builder
	assert.Equal(t, exitDone, program([]string{"record", dir, "--for", "1s"}, strings.NewReader(strings.Join(answers, "\n")+"\n"), &out, &err), err.String())
	said := err.String()
	assert.Less(t, strings.Index(said, "dial"), strings.Index(said, "before the transmitter is keyed"))
	assert.GreaterOrEqual(t, strings.Count(said, "type dummy when it is so (q stop):"), 5, said)
	assert.Equal(t, 1, strings.Count(said, "transmitter keyed, into the dummy load"), said)
	assert.Contains(t, out.String(), "Stopped; go on with: hisspoint record")
	now, _ := os.ReadFile(file)
	assert.Equal(t, strings.Replace(transmitJob, "{level: 1 uV}", "{level: 1 uV, file: as-found/sensitivity_1uV-2.wav}", 1), string(now))

	out.Reset()
	err.Reset()
	answers = []string{"s", "dummy", ""}
	assert.Equal(t, exitDone, program([]string{"record", dir, "--for", "1s"}, strings.NewReader(strings.Join(answers, "\n")+"\n"), &out, &err), err.String())
	assert.NotContains(t, err.String(), "Take the speaker off", "the wiring was shown before")
	assert.Contains(t, err.String(), "type dummy when it is so (q stop):", "again, in a new session")
	assert.FileExists(t, filepath.Join(dir, "as-found", "deviation.wav"))
	now, _ = os.ReadFile(file)
	assert.Contains(t, string(now), "deviation: {reference_deviation: 2 kHz, file: as-found/deviation.wav}")
}

// What was really set, one key back, and a recording that was there before.
func TestRecordTakesWhatWasReallySet(t *testing.T) {
	withFakeCard(t)
	dir := t.TempDir()
	file := filepath.Join(dir, "job.yaml")
	require.NoError(t, os.WriteFile(file, []byte("job: \"7\"\nset: {description: x}\nrounds:\n  as_left:\n    tests:\n      - sensitivity: {recordings: [{level: 1 uV}, {level: 0.5 uV}]}\n"), 0o644))
	answers := []string{"", "0.9 uV", "", "b", "", "rubbish", "", "q"}
	var out, err strings.Builder
	assert.Equal(t, exitDone, program([]string{"record", dir, "--for", "1s"}, strings.NewReader(strings.Join(answers, "\n")+"\n"), &out, &err), err.String())
	assert.Contains(t, err.String(), "not understood")
	assert.FileExists(t, filepath.Join(dir, "as-left", "sensitivity_0.9uV.wav"))
	assert.FileExists(t, filepath.Join(dir, "as-left", "sensitivity_0.9uV-2.wav"), "the earlier one stays")
	now, _ := os.ReadFile(file)
	assert.Contains(t, string(now), "{level: 0.9 uV, file: as-left/sensitivity_0.9uV-2.wav}, {level: 0.5 uV}")
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
