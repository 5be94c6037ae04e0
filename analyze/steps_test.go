package analyze

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
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
	extra     bool      // one level was set that is not listed
	size      float64   // dB from level to level
	levels    []float64 // dBm, as they were set
}

// steppedCase draws step size, durations, direction, clicks and the noise of
// contacts from a seed. The levels lie where noise follows the signal. Every
// fifth case leaves one level out, every fifth has one that is not listed.
func steppedCase(seed uint64) stepped {
	r := rand.New(rand.NewPCG(seed, 77))
	uniform := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	c := stepped{size: uniform(1, 10), missing: seed%5 == 4, extra: seed%5 == 2}
	c.listed = min(3+r.IntN(18), 1+int(26/c.size))
	first := -124 + uniform(0, 26-c.size*float64(c.listed-1))
	levels := make([]float64, c.listed)
	for i := range levels {
		levels[i] = first + c.size*float64(i)
	}
	if r.IntN(2) == 0 {
		slices.Reverse(levels)
	}
	switch k := r.IntN(c.listed); {
	case c.missing:
		levels = slices.Delete(levels, k, k+1)
	case c.extra: // one step further, or back to a level that was there already
		at := levels[k] + c.size*float64(2*r.IntN(2)-1)
		levels = slices.Insert(levels, k, at)
		if k > 0 && math.Abs(levels[k-1]-at) < 0.01 {
			levels[k] = at + 2*(levels[k+1]-at)
		}
	}
	c.levels = levels
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
	card.Rate = 8000
	b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: card, Seed: seed}
	x := b.Record(segments...)
	spoil := func(from, seconds, peak float64) {
		for i := int(from * float64(card.Rate)); i < min(len(x), int((from+seconds)*float64(card.Rate))); i++ {
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
	c.recording = capture.FromSamples(fmt.Sprintf("case %d", seed), card.Rate, x)
	return c
}

// The plateaus are found within 0.2 s of where the generator was turned, and
// none reaches into its neighbour; a recording that does not fit the list is
// refused. No recording gets its levels wrong in silence.
func TestStepsOfSimulatedRecordings(t *testing.T) {
	cases := uint64(10)
	if os.Getenv("HISSPOINT_LONG") == "1" {
		cases = 1000
	}
	refused, whole, wrong, turns, off, into := 0, 0, 0, 0, 0, 0
	for seed := range cases {
		c := steppedCase(seed)
		parts, err := Steps(c.recording, c.listed, job.Reading{})
		if c.missing || c.extra {
			wrong++
			assert.ErrorIs(t, err, ErrSteps, "case %d: the levels do not fit the list and nobody said so", seed)
			assert.Len(t, parts, len(c.levels), "case %d", seed)
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
			turns++
			if found := (parts[i].To + parts[i+1].From) / 2; math.Abs(at-found) > 0.2 {
				t.Logf("case %d, step %d of %.1f dB at %.2f s: found at %.2f s, between %.2f and %.2f s", seed, i+1, c.size, at, found, parts[i].To, parts[i+1].From)
				off++
			}
			if far := max(parts[i].To-at, at-parts[i+1].From); far > 0.05 {
				t.Logf("case %d, step %d of %.1f dB at %.2f s: a plateau reaches %.2f s into the next", seed, i+1, c.size, at, far)
				into++
			}
		}
	}
	t.Logf("%d of %d steps are off by more than 0.2 s, %d reach into the next; %d of %d recordings that fit their list and %d that do not were refused", off, turns, into, refused, whole, wrong)
	assert.Zero(t, off)
	assert.Zero(t, into)
	assert.Zero(t, refused)
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
