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

// heardPitch is the pitch of what was played in 0.3 s, by the zero crossings of what is
// not silent in it, and how often it falls silent.
func heardPitch(x []float64, at float64) (hz float64, pauses int) {
	const piece = 80 // 10 ms
	part := x[int(at*8000):int((at+0.3)*8000)]
	sounding, crossings, samples := true, 0, 0
	for i := 0; i+piece <= len(part); i += piece {
		peak := 0.0
		for _, v := range part[i : i+piece] {
			peak = math.Max(peak, math.Abs(v))
		}
		if was := sounding; was && peak < 0.02 {
			pauses++
		}
		sounding = peak >= 0.02
		if sounding {
			for k := i + 1; k < i+piece; k++ {
				if part[k-1] < 0 && part[k] >= 0 {
					crossings++
				}
			}
			samples += piece - 1
		}
	}
	return float64(crossings) * 8000 / math.Max(1, float64(samples)), pauses
}

// The aim stands, falls by 8 dB, rises again to 4 dB above its start and stands. The
// pitch is 220 Hz at the low end of the scale, 20 dB below the start, and an equally
// tempered semitone for each dB (ISO 16); past the best it comes in pairs of beeps.
func TestBeepFollowsTheAim(t *testing.T) {
	withFakeCard(t)
	card := &turned{db: func(s float64) float64 {
		return -14 - 8*math.Max(0, math.Min(1, (s-2)/2)) + 12*math.Max(0, math.Min(1, (s-5)/3))
	}}
	openCard = func() (soundcard.Card, error) { return card, nil }
	var out, err strings.Builder
	require.Equal(t, exitDone, program([]string{"watch", "--aim", "audio", "--beep", "--json", "--for", "10s"}, nil, &out, &err), err.String())
	x := card.played
	require.Greater(t, len(x), 9*8000)
	pitch := func(dbAboveStart float64) float64 { return 220 * math.Exp2((20+dbAboveStart)/12) }
	for _, c := range []struct {
		at, db float64
		pauses int
	}{{1.5, 0, 0}, {4.6, -8, 1}, {9.2, 4, 0}} {
		hz, pauses := heardPitch(x, c.at)
		assert.InDelta(t, pitch(c.db), hz, 0.03*pitch(c.db), "to half a semitone, at %g s", c.at)
		assert.GreaterOrEqual(t, pauses, c.pauses, "at %g s", c.at)
		if c.pauses == 0 {
			assert.Zero(t, pauses, "at %g s", c.at)
		}
	}
	var pitches []float64
	for _, at := range []float64{5.6, 6.1, 6.6, 7.1, 7.6, 8.1, 9} { // also beyond the best so far
		hz, _ := heardPitch(x, at)
		pitches = append(pitches, hz)
	}
	assert.IsIncreasing(t, pitches)
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
