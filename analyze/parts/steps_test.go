package parts

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
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

// Each border is found within 0.2 s of where the generator was turned, or, where
// two levels can hardly be told from each other, lies in the stretch that is left
// out between two plateaus; no plateau holds anything of its neighbour. A recording
// that does not fit the list is refused. No recording gets its levels wrong in
// silence.
//
// Borders that are off cannot be helped: two states of normal noise that differ by d
// in the logarithm of their power, seen for t seconds in a band of b hertz, are taken
// for each other with a chance of Q(d sqrt(b t / 4)) by the best test there is, that of
// the likelihood ratio (Neyman and Pearson 1933; the logarithm of a power of 2bt degrees
// of freedom has the variance 1/bt): 0.7 % for 1 dB, 0.2 s and the 2.3 kHz that tone and
// harmonics leave of the speech band. go test has the cases that were hard once (contacts
// that sound like one side, a step of 1.1 dB), one with a level missing and one with one
// too many.
func TestStepsOfSimulatedRecordings(t *testing.T) {
	cases := map[string][]uint64{job.FM: {2, 4, 61, 381}, job.AM: {61, 64}, job.SSB: {1, 7}}
	if os.Getenv("HISSPOINT_LONG") == "1" {
		cases = map[string][]uint64{job.FM: upTo(700), job.AM: upTo(150), job.SSB: upTo(150)}
	}
	for _, k := range []steppedSet{steppedFM, steppedAM, steppedSSB} {
		t.Run(k.mode, func(t *testing.T) {
			var c stepCount
			for _, seed := range cases[k.mode] {
				c.add(t, seed, steppedCase(seed, k), job.Reading{Mode: k.mode})
			}
			t.Logf("%s: %d of %d borders are off by more than 0.2 s, %d of them outside what was left out; %d plateaus hold something of a neighbour; "+
				"%.2f s left out on average, at most %.2f s; %d of %d recordings that fit their list and %d of %d that do not were refused",
				k.mode, c.off, c.turns, c.wrongly, c.overlaps, c.leftOut/float64(c.turns), c.most, c.refused, c.whole, c.caught, c.wrong)
			assert.Zero(t, c.wrongly)
			assert.Zero(t, c.overlaps)
			assert.LessOrEqual(t, c.off, max(1, c.turns/100))
			assert.Less(t, c.leftOut/float64(c.turns), 0.6)
			assert.LessOrEqual(t, c.refused, c.whole/50)
			assert.Equal(t, c.wrong, c.caught)
		})
	}
}

func upTo(n uint64) (out []uint64) {
	for i := range n {
		out = append(out, i)
	}
	return out
}

// stepCount adds up what was found in simulated recordings.
type stepCount struct {
	whole, refused, wrong, caught int     // recordings that fit their list, and that do not
	turns, off, wrongly           int     // borders, those off by more than 0.2 s, and those not even in their range
	overlaps                      int     // plateaus that hold something of a neighbour
	leftOut, most                 float64 // seconds between plateaus, summed and at most
}

func (s *stepCount) add(t *testing.T, seed uint64, c stepped, how job.Reading) {
	parts, err := Steps(c.recording, c.listed, how)
	if err != nil {
		require.True(t, IsMisfit(err))
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
		t.Logf("case %d, steps of %.2f dB, refused: %v; turned at %.2f", seed, c.size, err, c.turned)
		s.refused++
		return
	}
	for i, at := range c.turned {
		a, b := parts[i], parts[i+1]
		s.turns++
		s.leftOut += b.From - a.To
		s.most = max(s.most, b.From-a.To)
		if math.Abs(b.Turned-at) > 0.2 {
			t.Logf("case %d, step %d of %.2f dB at %.2f s: found at %.2f s, left out %.2f to %.2f s", seed, i+1, c.size, at, b.Turned, a.To, b.From)
			s.off++
			if at < a.To || at > b.From {
				s.wrongly++
			}
		}
		if a.To > at {
			s.overlaps++
		}
		if b.From < at {
			s.overlaps++
		}
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
	assert.True(t, IsMisfit(err))
	assert.Len(t, parts, 1)
	assert.EqualError(t, err, "silent.wav: the steps found do not fit: 3 levels are listed and 1 were found (0.0 to 10.0 s)")
	broken := make([]float64, 80000)
	for i := range broken {
		broken[i] = []float64{0, math.NaN(), math.Inf(1), 1e300}[i*7/len(broken)%4]
	}
	parts, _ = Steps(capture.FromSamples("broken.wav", 8000, broken), 3, job.Reading{})
	for _, p := range parts {
		assert.True(t, analyze.Finite(p.From) && analyze.Finite(p.To) && analyze.Finite(p.Tone) && analyze.Finite(p.Noise))
	}
	one, err := Steps(silent, 1, job.Reading{})
	require.NoError(t, err)
	assert.InDelta(t, 0, one[0].From, 1e-9)
	assert.InDelta(t, 10, one[0].To, 1e-9)
}
