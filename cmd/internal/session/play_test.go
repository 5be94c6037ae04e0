package session

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/soundcard"
	"hisspoint/cmd/internal/run"
)

// looped is a card whose output comes back to its input at half the level, with a
// little noise, faster than life. It remembers how often and how loud it played.
type looped struct {
	mutex  sync.Mutex
	next   func([]float64) int
	done   chan struct{}
	plays  int
	peak   float64
	at     int
	silent bool    // the output leads nowhere
	hum    bool    // a tone is always there
	dead   bool    // nothing is
	mute   bool    // there is no output
	most   float64 // amplitude that is let through, held as by a limiter; 0: any
	high   float64 // what the limiter has seen
	closed bool
}

const loopedRate = 22050

var loopedIn = soundcard.Device{ID: "in", Name: "Line in", Format: soundcard.Format{Rate: loopedRate, Channels: 1, Bits: 16}, Default: true}
var loopedOut = soundcard.Device{ID: "out", Name: "Line out", Format: soundcard.Format{Rate: loopedRate, Channels: 2, Bits: 16}, Default: true}

func (c *looped) Inputs() ([]soundcard.Device, error)              { return []soundcard.Device{loopedIn}, nil }
func (c *looped) Record(soundcard.Device) (soundcard.Input, error) { return c, nil }
func (c *looped) Device() soundcard.Device                         { return loopedIn }
func (c *looped) Format() soundcard.Format                         { return loopedIn.Format }

func (c *looped) Outputs() ([]soundcard.Device, error) {
	if c.mute {
		return nil, nil
	}
	return []soundcard.Device{loopedOut}, nil
}

func (c *looped) Close() error {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.closed = true
	return nil
}

func (c *looped) Play(_ soundcard.Device, f soundcard.Format, _ time.Duration, next func([]float64) int) (soundcard.Output, error) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.plays++
	c.next, c.done = next, make(chan struct{})
	return &loopedSound{c, c.done}, nil
}

func (c *looped) Read(block []float64) (int, error) {
	time.Sleep(time.Millisecond)
	c.mutex.Lock()
	defer c.mutex.Unlock()
	if c.closed {
		return 0, soundcard.ErrClosed
	}
	n := min(len(block), loopedRate/5)
	sound := make([]float64, 2*n)
	if c.next != nil && c.next(sound) < len(sound) {
		c.next = nil
		close(c.done)
	}
	for i := range n {
		c.peak = math.Max(c.peak, math.Abs(sound[2*i]))
		if c.silent {
			sound[2*i] = 0
		}
		if half := sound[2*i] / 2; c.most > 0 {
			c.high = math.Max(math.Abs(half), c.high*0.9999)
			sound[2*i] *= math.Min(1, c.most/math.Max(c.most, c.high))
		}
		k := float64(c.at + i)
		switch block[i] = sound[2*i]/2 + 1e-4*math.Sin(k*k*0.1); {
		case c.hum:
			block[i] += 0.1 * math.Sin(2*math.Pi*1000*k/loopedRate)
		case c.dead:
			block[i] = 0
		}
	}
	c.at += n
	return n, nil
}

type loopedSound struct {
	c    *looped
	done chan struct{}
}

func (s *loopedSound) Done() <-chan struct{} { return s.done }
func (s *loopedSound) Err() error            { return nil }
func (s *loopedSound) Close() error {
	s.c.mutex.Lock()
	defer s.c.mutex.Unlock()
	if s.c.done == s.done {
		s.c.next = nil
	}
	return nil
}

// recordLooped runs a session on a job with such tests.
func recordLooped(t *testing.T, card *looped, tests, level string, answers ...string) (dir string, finished bool, out, said string) {
	dir = t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "job.yaml"), []byte("job: \"7\"\nset: {description: x, mode: fm}\nrounds:\n  as_left:\n    tests:\n"+tests), 0o644))
	finished, out, said, err := record(t, card, Settings{Job: dir, Round: "as_left", Level: level}, answers...)
	require.NoError(t, err, said)
	return dir, finished, out, said
}

// What is played into the microphone socket comes back: the response of a loop is
// flat. Nothing sounds before the word for the dummy load, whatever is typed.
func TestRecordPlaysIntoTheMicrophone(t *testing.T) {
	const text = "      - transmit_response: {tones: [500 Hz, 1 kHz, 2 kHz], file: tx.wav, against: flat}\n"
	card := &looped{}
	_, _, _, said := recordLooped(t, card, text, "", "", "p", "", "n", "generator", "-30 dBFS", "q")
	assert.Zero(t, card.plays, said)
	assert.GreaterOrEqual(t, strings.Count(said, "type dummy when it is so"), 5)

	card = &looped{}
	dir, finished, out, said := recordLooped(t, card, text, "", "", "dummy", "", "-90 dBFS", "", "-30 dBFS", "p", "+", "-31 dBFS", "", "", "q")
	assert.Contains(t, said, "-90 dBFS is not within -80 to -1 dBFS")
	assert.Contains(t, said, "plays stepped tones (6 s) at -40.0 dBFS")
	assert.Contains(t, said, "plays a tone of 1000 Hz at -29.0 dBFS")
	assert.Contains(t, said, "plays stepped tones (6 s) at -31.0 dBFS")
	assert.Regexp(t, `tx.wav: stepped tones \(6 s\) found, .* level -37.1 dBFS, peaks -37.0 dBFS`, out)
	assert.True(t, finished)
	assert.LessOrEqual(t, card.peak, math.Pow(10, -29.0/20), "no louder than what was set")
	assert.Equal(t, 2, card.plays, said)

	r, err := run.Runner{Dir: dir}.Response([]string{"tx.wav"}, nil, analyze.ResponseHow{TonesHz: []float64{500, 1000, 2000}}, run.Use{})
	require.NoError(t, err)
	require.Len(t, r.Result.Points, 3)
	for _, p := range r.Result.Points {
		assert.InDelta(t, 0, p.DB, 0.1, "%g Hz", p.Hz)
	}
}

// The generator's word comes before what is played into it, again after the
// output was at the microphone socket; a signal that does not arrive is said.
func TestRecordPlaysIntoTheGenerator(t *testing.T) {
	const text = "      - response: {level: 1 mV, signal: sweep, against: flat}\n      - transmit_distortion: {}\n"
	card := &looped{silent: true}
	_, _, _, said := recordLooped(t, card, text, "", "", "", "dummy", "q")
	assert.Zero(t, card.plays, said)
	assert.Equal(t, 3, strings.Count(said, "type generator when it is so"), said)

	card = &looped{silent: true}
	_, _, out, said := recordLooped(t, card, text, "-20 dBFS", "", "generator", "", "", "dummy", "", "b", "q")
	assert.Contains(t, said, "the signal that was played is not in the recording: check output, the generator's modulation input")
	assert.Contains(t, out, "as-left/response.wav: a sweep (11 s) was not found")
	assert.Contains(t, said, "! loud for a microphone socket")
	assert.Equal(t, 2, strings.Count(said, "type generator when it is so"), "again once the output was at the microphone")

	// a steady tone sounds before the recording and after it
	card = &looped{}
	_, _, out, _ = recordLooped(t, card, "      - transmit_distortion: {}\n", "", "", "dummy", "", "", "")
	assert.Regexp(t, `transmit-distortion.wav: SINAD .*audio -46.02 ±0.01 dBFS`, out)
	assert.Equal(t, 1, card.plays)
}

// Without an output the person is told what to play by other means, and the
// recording is long enough for it.
func TestRecordGoesOnWithoutAnOutput(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "job.yaml"), []byte("job: \"7\"\nset: {description: x}\nrounds:\n  as_left:\n    tests:\n      - response: {level: 1 mV, signal: multitone}\n"), 0o644))
	job := Settings{Job: dir, Round: "as_left"}
	_, _, said, err := record(t, &looped{mute: true}, job, "", "q")
	require.NoError(t, err)
	assert.Contains(t, said, "nothing is played: there is no sound output; plug the card in")
	assert.Contains(t, said, "play signals/multitone.wav from a phone")
	assert.Contains(t, said, "records 18 s to as-left/response.wav")
	job.Output = "line"
	_, _, said, err = record(t, &looped{mute: true}, job, "", "q")
	assert.ErrorContains(t, err, "--output: there is no sound output")
	assert.Empty(t, said)
}

// A recording that ought to hold no tone is doubted where it does.
func TestRecordDoubtsAToneWhereNoneBelongs(t *testing.T) {
	_, _, out, said := recordLooped(t, &looped{hum: true}, "      - bench_floor: {}\n", "", "", "", "", "q")
	assert.Contains(t, said, "a tone is heard in it where none belongs: was the modulation off, or the volume at zero?")
	assert.Contains(t, out, "as-left/bench-floor.wav: SINAD")
	_, _, out, said = recordLooped(t, &looped{dead: true}, "      - sensitivity: {recordings: [{level: 1 uV}]}\n", "", "", "", "", "q")
	assert.Contains(t, said, "no tone is heard in it")
	assert.Contains(t, out, "as-left/sensitivity_1uV.wav: no sound")
}
