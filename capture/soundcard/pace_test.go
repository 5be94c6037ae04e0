package soundcard

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// paced plays seconds of blocks of 10 ms to a pace. late says how much later than
// due the block at t comes, in seconds; dropped, whether it never does. It returns
// when lost samples were noticed, or -1.
func paced(seconds float64, clock float64, late func(t float64) float64, dropped func(t float64) bool) float64 {
	p, start, last := newPace(48000), time.Unix(0, 0), 0.0
	for i := range int(seconds * 100) {
		t := float64(i) / 100
		if dropped(t) {
			continue
		}
		at := max(last, t*(1+clock)+late(t))
		last = at
		if p.add(start.Add(time.Duration(at*1e9)), 480) {
			return at
		}
	}
	return -1
}

func TestPaceTellsDroppedSamplesFromABusyComputer(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	never := func(float64) bool { return false }
	early := func(t float64) float64 { return map[bool]float64{true: -0.03, false: 0}[t < 0.5] } // what a backend held
	jitter := func(float64) float64 { return 0.004 * r.Float64() }
	stalls := func(t float64) float64 { // up to 0.8 s, made up for in a burst
		if into := t - float64(int(t/3))*3; into < 0.8 {
			return 0.8 - into + jitter(t)
		}
		return jitter(t)
	}
	once := func(from, to float64) func(float64) bool {
		return func(t float64) bool { return t >= from && t < to }
	}
	for _, clock := range []float64{0, 2e-4, -2e-4} { // the worst clock of a sound card
		assert.Equal(t, -1.0, paced(600, clock, jitter, never), "clock %g", clock)
		assert.Equal(t, -1.0, paced(600, clock, stalls, never), "stalls, clock %g", clock)
		assert.Equal(t, -1.0, paced(60, clock, early, never), "a beginning that comes early, clock %g", clock)
		for _, gap := range []float64{0.01, 0.1, 1.5} {
			from := 5.2 + r.Float64()
			noticed := paced(60, clock, jitter, once(from, from+gap+0.001))
			assert.Greater(t, noticed, from)
			assert.Less(t, noticed, from+gap+3.1, "a gap of %g s", gap)
			assert.Greater(t, paced(60, clock, stalls, once(from, from+gap+0.001)), from, "a gap of %g s, stalls", gap)
		}
	}
}
