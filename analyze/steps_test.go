package analyze

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
)

// stepped is a simulated recording of a generator that was stepped.
type stepped struct {
	recording capture.Recording
	listed    int       // levels that the technician wrote down
	turned    []float64 // seconds at which the level was changed
	missing   bool      // one of the listed levels was never set
}

// steppedCase draws step size, durations, direction, clicks and the noise of
// contacts from a seed. The levels lie where noise follows the signal. Every
// fifth case leaves one level out.
func steppedCase(seed uint64) stepped {
	r := rand.New(rand.NewPCG(seed, 77))
	uniform := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	size := uniform(1, 10)
	n := min(3+r.IntN(8), 1+int(26/size))
	levels := make([]float64, n)
	for i := range levels {
		levels[i] = -124 + uniform(0, 26-size*float64(n-1)) + size*float64(i)
		if i > 0 {
			levels[i] = levels[0] + size*float64(i)
		}
	}
	if r.IntN(2) == 0 {
		for i, j := 0, n-1; i < j; i, j = i+1, j-1 {
			levels[i], levels[j] = levels[j], levels[i]
		}
	}
	c := stepped{listed: n, missing: seed%5 == 4}
	if c.missing {
		k := r.IntN(n)
		levels = append(levels[:k:k], levels[k+1:]...)
	}
	var segments []simulate.Segment
	at := 0.0
	for i, l := range levels {
		s := uniform(1.5, 3.5)
		segments = append(segments, simulate.Segment{Seconds: s, LevelDBm: l})
		if at += s; i < len(levels)-1 {
			c.turned = append(c.turned, at)
		}
	}
	card := simulate.PlainCard()
	card.Rate = 16000
	b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: card, Seed: seed}
	x := b.Record(segments...)
	spoil := func(from, seconds, peak float64) {
		for i := int(from * 16000); i < min(len(x), int((from+seconds)*16000)); i++ {
			x[i] = math.Max(-1, math.Min(1, x[i]+peak*(2*r.Float64()-1)))
		}
	}
	for _, t := range c.turned { // contacts
		if r.IntN(2) == 0 {
			spoil(t, uniform(0.01, 0.12), uniform(0.1, 0.8))
		}
	}
	for range r.IntN(4) { // clicks
		spoil(uniform(0, at), 0.004, 0.9)
	}
	c.recording = capture.FromSamples(fmt.Sprintf("case %d", seed), 16000, x)
	return c
}

// The plateaus are found within 0.2 s of where the generator was turned; a list
// that does not fit is refused. No recording gets its levels wrong in silence.
func TestStepsOfSimulatedRecordings(t *testing.T) {
	cases := uint64(10)
	if os.Getenv("HISSPOINT_LONG") == "1" {
		cases = 500
	}
	refused, whole, turns, off := 0, 0, 0, 0
	for seed := range cases {
		c := steppedCase(seed)
		parts, err := Steps(c.recording, c.listed, job.Reading{})
		if c.missing {
			assert.ErrorIs(t, err, ErrSteps, "case %d: a level is missing and nobody said so", seed)
			continue
		}
		whole++
		if err != nil {
			require.ErrorIs(t, err, ErrSteps)
			t.Logf("case %d refused: %v; turned at %.2f", seed, err, c.turned)
			refused++
			continue
		}
		for i, at := range c.turned {
			boundary := (parts[i].To + parts[i+1].From) / 2
			turns++
			if math.Abs(at-boundary) > 0.2 {
				t.Logf("case %d, step %d at %.2f s: found at %.2f s", seed, i+1, at, boundary)
				off++
			}
			assert.LessOrEqual(t, parts[i].To, at+0.5, "case %d: plateau %d reaches far into the next", seed, i+1)
			assert.GreaterOrEqual(t, parts[i+1].From, at-0.5, "case %d: plateau %d begins far too early", seed, i+2)
		}
	}
	// Noise at an FM threshold may for a quarter of a second sound like the next
	// level, 1 dB away: of a thousand steps one or two are not told better.
	t.Logf("%d of %d steps are off by more than 0.2 s", off, turns)
	assert.LessOrEqual(t, float64(off), 0.002*float64(turns))
	t.Logf("%d of %d recordings that fit their list were refused", refused, whole)
	assert.LessOrEqual(t, float64(refused), 0.02*float64(whole)+0.5)
}

func TestStepsRefuses(t *testing.T) {
	r := capture.FromSamples("short.wav", 8000, make([]float64, 4000))
	_, err := Steps(r, 3, job.Reading{})
	assert.EqualError(t, err, "short.wav: is 0.5 s long, too short for 3 levels: leave the generator alone for 3 s at each")
	_, err = Steps(r, 0, job.Reading{})
	assert.EqualError(t, err, "short.wav: steps are found for 1 to 60 levels, not 0")
	silent := capture.FromSamples("silent.wav", 8000, make([]float64, 80000))
	parts, err := Steps(silent, 3, job.Reading{})
	assert.True(t, errors.Is(err, ErrSteps))
	assert.Len(t, parts, 1)
	assert.EqualError(t, err, "silent.wav: the steps found do not fit: 3 levels are listed and 1 were found (0.0 to 10.0 s)")
	one, err := Steps(silent, 1, job.Reading{})
	require.NoError(t, err)
	assert.InDelta(t, 0, one[0].From, 1e-9)
	assert.InDelta(t, 10, one[0].To, 1e-9)
}
