package main

import (
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/soundcard"
)

// turned is a card whose input hears a tone at a level that changes with time, and
// whose output is pulled along with it, so that both have one clock.
type turned struct {
	fakeCard
	db     func(seconds float64) float64
	pause  time.Duration // between blocks
	next   func([]float64) int
	played []float64
}

func (c *turned) Outputs() ([]soundcard.Device, error) {
	return []soundcard.Device{{ID: "ear", Name: "Ear phones", Format: fakeDevice.Format}}, nil
}
func (c *turned) Record(soundcard.Device) (soundcard.Input, error) { return c, nil }
func (c *turned) Done() <-chan struct{}                            { return nil }
func (c *turned) Err() error                                       { return nil }

func (c *turned) Play(_ soundcard.Device, _ soundcard.Format, _ time.Duration, next func([]float64) int) (soundcard.Output, error) {
	c.next = next
	return c, nil
}

func (c *turned) Read(block []float64) (int, error) {
	if c.closed.Load() {
		return 0, soundcard.ErrClosed
	}
	time.Sleep(c.pause)
	n := min(len(block), 160)
	for i := range n {
		k := float64(c.at + i)
		block[i] = math.Pow(10, c.db(k/8000)/20)*math.Sin(2*math.Pi*1000*k/8000) + 0.0005*math.Sin(k*k*0.1)
	}
	c.at += n
	if c.next != nil {
		c.played = append(c.played, make([]float64, n)...)
		c.next(c.played[len(c.played)-n:])
	}
	return n, nil
}

// heardPitch is the pitch of what was played in a tenth of a second, by its zero
// crossings, and the share of it that is silent.
func heardPitch(x []float64, at float64) (hz, silent float64) {
	part := x[int(at*8000):int((at+0.3)*8000)]
	first, last, crossings, soft := -1, 0, 0, 0
	for i := 1; i < len(part); i++ {
		if part[i-1] < 0 && part[i] >= 0 {
			if first < 0 {
				first = i
			} else {
				crossings++
			}
			last = i
		}
	}
	for i := 0; i+40 <= len(part); i += 40 { // 5 ms
		peak := 0.0
		for _, v := range part[i : i+40] {
			peak = math.Max(peak, math.Abs(v))
		}
		if peak < 0.02 {
			soft++
		}
	}
	return float64(crossings) * 8000 / math.Max(1, float64(last-first)), float64(soft) / float64(len(part)/40)
}

// The aim stands at its best, falls by 8 dB, rises again and stands. The pitch is two
// octaves over 12 dB below the best; past the best the tone comes in pulses.
func TestBeepFollowsTheAim(t *testing.T) {
	withFakeCard(t)
	card := &turned{db: func(s float64) float64 {
		return -14 - 8*math.Max(0, math.Min(1, math.Min((s-2)/2, (7-s)/2)))
	}}
	openCard = func() (soundcard.Card, error) { return card, nil }
	var out, err strings.Builder
	require.Equal(t, exitDone, program([]string{"watch", "--aim", "audio", "--beep", "--json", "--for", "8.5s"}, nil, &out, &err), err.String())
	x := card.played
	require.Greater(t, len(x), 8*8000)
	hz, silent := heardPitch(x, 1.5)
	assert.InDelta(t, 1320, hz, 30, "at the best")
	assert.Zero(t, silent)
	_, silent = heardPitch(x, 4.6)
	assert.InDelta(t, 0.5, silent, 0.25, "in pulses past the best")
	var pitches []float64
	for _, at := range []float64{5.4, 5.9, 6.4, 6.9, 8} { // on the way back
		hz, _ := heardPitch(x, at)
		pitches = append(pitches, hz)
	}
	assert.IsIncreasing(t, pitches)
	assert.Less(t, pitches[0], 800.0)
	hz, silent = heardPitch(x, 8)
	assert.InDelta(t, 1320, hz, 30, "back at the best")
	assert.Zero(t, silent)
}

// With --auto the next recording begins by itself once the sound stands still at
// another level.
func TestRecordGoesOnByItself(t *testing.T) {
	withFakeCard(t)
	dir := t.TempDir()
	louder := filepath.Join(dir, "as-left", "sensitivity_1uV.wav")
	second := filepath.Join(dir, "as-left", "sensitivity_2uV.wav")
	var since float64
	card := &turned{pause: time.Millisecond / 2}
	card.db = func(s float64) float64 { // the generator is turned up once the first recording is there
		if since == 0 && int(s*8000)%4000 == 0 {
			if _, err := os.Stat(louder); err == nil {
				since = s + 2
			}
		}
		if since > 0 && s > since {
			return -20
		}
		return -26
	}
	openCard = func() (soundcard.Card, error) { return card, nil }
	require.NoError(t, os.WriteFile(filepath.Join(dir, "job.yaml"), []byte("job: \"7\"\nset: {description: x}\nrounds:\n  as_left:\n    tests:\n      - sensitivity: {recordings: [{level: 1 uV}, {level: 2 uV}]}\n"), 0o644))
	answers, in := io.Pipe()
	ended := make(chan int)
	var out, err strings.Builder
	go func() { ended <- program([]string{"record", dir, "--for", "1s", "--auto"}, answers, &out, &err) }()
	_, werr := in.Write([]byte("\n\n")) // the wiring, and the first recording; no more
	require.NoError(t, werr)
	assert.Eventually(t, func() bool { _, err := os.Stat(second); return err == nil }, 60*time.Second, 10*time.Millisecond)
	in.Close()
	assert.Equal(t, exitDone, <-ended, err.String())
	r, e := os.ReadFile(filepath.Join(dir, "job.yaml"))
	require.NoError(t, e)
	assert.Contains(t, string(r), "sensitivity_2uV.wav")
	assert.Contains(t, out.String(), "sensitivity_2uV.wav: SINAD")
}
