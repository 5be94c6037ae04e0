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

// steppedSet is what is stepped, over 26 dB from the lowest level up.
type steppedSet struct {
	mode      string
	generator simulate.Generator
	set       simulate.Set
	lowest    float64 // dBm
}

var (
	steppedFM  = steppedSet{job.FM, simulate.StandardGenerator(), simulate.Healthy27MHzFM(), -124}
	steppedAM  = steppedSet{job.AM, simulate.StandardAMGenerator(), simulate.Healthy27MHzAM(), -113}
	steppedSSB = steppedSet{job.SSB, simulate.StandardGenerator(), simulate.Healthy27MHzSSB(), -122}
)

// steppedCase draws step size, durations, direction, clicks and the noise of
// contacts from a seed. The levels lie where noise follows the signal. Every
// fifth case leaves one level out, every fifth has one that is not listed.
func steppedCase(seed uint64, k steppedSet) stepped {
	r := rand.New(rand.NewPCG(seed, 77))
	uniform := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	c := stepped{size: uniform(1, 10), missing: seed%5 == 4, extra: seed%5 == 2}
	c.listed = min(3+r.IntN(18), 1+int(26/c.size))
	first := k.lowest + uniform(0, 26-c.size*float64(c.listed-1))
	levels := make([]float64, c.listed)
	for i := range levels {
		levels[i] = first + c.size*float64(i)
	}
	if r.IntN(2) == 0 {
		slices.Reverse(levels)
	}
	switch i := r.IntN(c.listed); {
	case c.missing:
		levels = slices.Delete(levels, i, i+1)
	case c.extra: // one step further, or back to a level that was there already
		at := levels[i] + c.size*float64(2*r.IntN(2)-1)
		levels = slices.Insert(levels, i, at)
		if i > 0 && math.Abs(levels[i-1]-at) < 0.01 {
			levels[i] = at + 2*(levels[i+1]-at)
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
	card.Rate = 12000
	b := simulate.Bench{Generator: k.generator, Set: k.set, Card: card, Seed: seed}
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

// smallStep is the step, in dB, below which chance may hide a border for 0.2 s.
// Two states of normal noise that differ by d in the logarithm of their power, seen
// for t seconds in a band of b hertz, are taken for each other with a chance of
// Q(d sqrt(b t / 4)) by the best test there is, that of the likelihood ratio (Neyman
// and Pearson 1933; the logarithm of a power of 2bt degrees of freedom has the
// variance 1/bt): 0.7 % for 1 dB, 0.2 s and the 2.3 kHz that tone and harmonics leave
// of the speech band, 0.01 % for 1.5 dB. The noise of contacts hides some of it.
const smallStep = 1.5

// The plateaus are found within 0.2 s of where the generator was turned, and
// what one holds of its neighbour changes its level by less than 0.1 dB; a
// recording that does not fit the list is refused. No recording gets its levels wrong
// in silence.
func TestStepsOfSimulatedRecordings(t *testing.T) {
	cases := map[string]uint64{job.FM: 10, job.AM: 5, job.SSB: 5}
	if os.Getenv("HISSPOINT_LONG") == "1" {
		cases = map[string]uint64{job.FM: 700, job.AM: 150, job.SSB: 150}
	}
	for _, k := range []steppedSet{steppedFM, steppedAM, steppedSSB} {
		var c stepCount
		for seed := range cases[k.mode] {
			c.add(t, seed, steppedCase(seed, k), job.Reading{Mode: k.mode})
		}
		t.Logf("%s: %d of %d steps are off by more than 0.2 s, %d of the %d of less than %g dB; a neighbour changes a level by at most %.3f dB; "+
			"%d of %d recordings that fit their list and %d of %d that do not were refused",
			k.mode, c.off, c.turns, c.smallOff, c.small, smallStep, c.moved, c.refused, c.whole, c.caught, c.wrong)
		assert.Equal(t, c.smallOff, c.off, "steps of %g dB and more", smallStep)
		assert.LessOrEqual(t, float64(c.smallOff), 0.01*float64(c.small))
		assert.LessOrEqual(t, c.moved, 0.1)
		assert.Zero(t, c.refused)
		assert.Equal(t, c.wrong, c.caught)
	}
}

// stepCount adds up what was found in simulated recordings.
type stepCount struct {
	whole, refused, wrong, caught int     // recordings that fit their list, and that do not
	turns, off, small, smallOff   int     // steps
	moved                         float64 // dB by which a neighbour changes a level
}

func (s *stepCount) add(t *testing.T, seed uint64, c stepped, how job.Reading) {
	parts, err := Steps(c.recording, c.listed, how)
	if err != nil {
		require.ErrorIs(t, err, ErrSteps)
	}
	if c.missing || c.extra {
		s.wrong++
		if err != nil {
			s.caught++
		}
		assert.Len(t, parts, len(c.levels), "case %d", seed)
		return
	}
	s.whole++
	if err != nil {
		t.Logf("case %d refused: %v; turned at %.2f", seed, err, c.turned)
		s.refused++
		return
	}
	for i, at := range c.turned {
		a, b := parts[i], parts[i+1]
		off := math.Abs((a.To+b.From)/2-at) > 0.2
		if how.Mode != job.FM { // the next one begins once the gain control has settled
			off = a.To < at-0.3 || a.To > at+0.2
		}
		s.turns++
		if off {
			t.Logf("case %d, step %d of %.1f dB at %.2f s: found between %.2f and %.2f s", seed, i+1, c.size, at, a.To, b.From)
			s.off++
		}
		if c.size < smallStep {
			s.small++
			if off {
				s.smallOff++
			}
		}
		s.moved = max(s.moved, (a.To-at)/(a.To-a.From)*c.size, (at-b.From)/(b.To-b.From)*c.size)
	}
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
	broken := make([]float64, 80000)
	for i := range broken {
		broken[i] = []float64{0, math.NaN(), math.Inf(1), 1e300}[i*7/len(broken)%4]
	}
	parts, _ = Steps(capture.FromSamples("broken.wav", 8000, broken), 3, job.Reading{})
	for _, p := range parts {
		assert.True(t, finite(p.From) && finite(p.To) && finite(p.Tone) && finite(p.Noise))
	}
	one, err := Steps(silent, 1, job.Reading{})
	require.NoError(t, err)
	assert.InDelta(t, 0, one[0].From, 1e-9)
	assert.InDelta(t, 10, one[0].To, 1e-9)
}
