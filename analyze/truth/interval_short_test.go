package truth_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
)

// holds is the claim of a 95 % interval tried n times: at least as often inside
// as 95 % less three standard deviations of a count, and less than always.
func (c *coverage) holds() bool {
	return c.share() >= 0.95-3*math.Sqrt(0.95*0.05/float64(c.n)) && c.share() < 1
}

// Intervals of every reading hold the truth, in clicks and in quiet noise; the
// same check notices intervals that are 30 % too narrow. The long run is
// TestIntervalsHoldTheTruth.
func TestIntervalsInShort(t *testing.T) {
	const dBm = -121.47 // 6 dB SINAD, by Bench.Sensitivity
	clicks := receivedAt("7.5 kHz IF, 1.2 kHz, clicks, 6 dB", benchOf(simulate.Healthy27MHzFM(), 6003), dBm).measured(t, 32, 10, parts{seconds: 1, each: 10, of: 32})
	quiet := gaussian(20).measured(t, 30, 10, parts{seconds: 1, each: 10, of: 30})
	for _, c := range []struct {
		p    *bulk
		name string
	}{
		{clicks, analyze.SINAD}, {clicks, analyze.NoiseLevel}, {clicks, analyze.SNR}, {clicks, analyze.ToneLevel}, {clicks, analyze.Level},
		{quiet, analyze.SINAD}, {quiet, analyze.THDN}, {quiet, analyze.Level}, {quiet, analyze.ToneLevel},
		{quiet, analyze.ToneFrequency}, {quiet, analyze.THD},
	} {
		ms := c.p.ms[1]
		right, narrow := c.p.covered(ms, c.name, 1), c.p.covered(ms, c.name, 0.7)
		name := fmt.Sprintf("%s, %s", c.p.name, c.name)
		t.Logf("%-44s %v; narrowed by 30 %%: %.1f %%", name, right, 100*narrow.share())
		assert.True(t, right.holds(), "%s: %v", name, right)
		assert.False(t, narrow.holds(), "%s narrowed: %v", name, narrow)
		assert.Zero(t, right.none, name)
	}
}

// Where a harmonic outweighs the noise, SINAD scatters as the harmonic's fitted power
// does: by 2 P N0/T in noise of the density N0 around it. The rate is well over twice
// the band, so that a density taken from anywhere else shows.
func TestIntervalWhereDistortionRules(t *testing.T) {
	const rate, seconds, second, nd = 24000, 0.5, 0.05, 0.01
	wide, narrow := make([]analyze.Reading, 200), new(coverage)
	parallel(len(wide), func(i int) {
		r := seeded(uint64(i) + 99)
		s := silence(rate, seconds).tone(0.2, 1000.3, 2*math.Pi*r.Float64()).tone(0.2*second, 2000.6, 2*math.Pi*r.Float64())
		s.add(times(0.2*second*math.Sqrt(nd/2*3800/3100), noise(r, rate, len(s.x), between(0, 3800))))
		m, err := reading.Measure(capture.FromSamples("", rate, s.x), job.Reading{Mode: job.SSB})
		assert.NoError(t, err)
		wide[i] = m.Get(analyze.SINAD)
	})
	right, truth := new(coverage), db(1+1/(second*second*(1+nd)))
	for _, r := range wide {
		right.count(r, truth, 1)
		narrow.count(r, truth, 0.7)
	}
	t.Logf("%v; narrowed by 30 %%: %.1f %%", right, 100*narrow.share())
	assert.True(t, right.holds(), "%v", right)
	assert.False(t, narrow.holds(), "narrowed: %v", narrow)
}

// A weak hum line of a long recording, measured in chunks, stands out in some of them
// only. Its level is that of those, not thinned by the others: it stays in its interval.
func TestHumLostInSomeChunks(t *testing.T) {
	const rate, seconds, chunks, stands = 8000, 70, 3, 26
	x := noise(seeded(2), rate, rate*seconds, between(20, 3900))
	floor := 1 / (3880.0 * seconds / chunks) // mean square that unit noise gives a line fitted to a chunk
	s := silence(rate, seconds).tone(0.2, 1000, 0).tone(0.01*math.Sqrt(2*stands*floor), 100, 1).add(times(0.01, x))
	r := s.measure(t, job.Reading{Mode: job.SSB, MainsHz: 50}).Get(analyze.HumLevel)
	truth := dbfsOf(1e-4 * stands * floor)
	t.Logf("%.2f (%.2f to %.2f) dBFS, truth %.2f", r.Value, r.Low, r.High, truth)
	assert.Less(t, r.Low, truth)
	assert.Greater(t, r.High, truth)
}

func dbfsOf(meanSquare float64) float64 { return db(2 * meanSquare) }

// Every reading has its value however short the recording. One without an interval says how much
// more it takes, up to a second in all; one with an interval keeps it in any longer
// recording, and from a second on all have one.
func TestTooShortForAnInterval(t *testing.T) {
	from := map[string]float64{ // seconds
		analyze.SINAD: 0.5, analyze.THDN: 0.5, analyze.Level: 0.5, analyze.ToneLevel: 0.5, analyze.SNR: 1, analyze.NoiseLevel: 1,
		analyze.ToneFrequency: 0.3, analyze.THD: 0.3, analyze.HumLevel: 0.3, analyze.DCOffset: 0.3,
	}
	for _, seconds := range []float64{0.1, 0.2, 0.3, 0.4, 0.45, 0.5, 0.7, 0.9, 1, 1.3} {
		s := silence(8000, seconds).tone(0.2, 1000, 0).tone(0.05, 50, 0).tone(0.01, 2000, 0)
		m := s.add(times(0.03, noise(seeded(4), 8000, len(s.x), between(0, 3800)))).measure(t, job.Reading{Mode: job.SSB, MainsHz: 50})
		for name, least := range from {
			r := m.Get(name)
			assert.True(t, r.OK(), "%s, %g s: %v", name, seconds, r)
			want := ""
			if seconds < least {
				want = fmt.Sprintf("too short for an honest interval: record at least %.1f s more", math.Max(0.1, 1-seconds))
			}
			assert.Equal(t, want, r.NoInterval, "%s, %g s", name, seconds)
		}
	}
}

// A second without a click does not say that there are none: in FM the interval
// reaches to what clicks of the stated deviation would do, and further if the
// deviation is not stated; in SSB, where there are none, it does not.
func TestUnseenClicksWidenTheInterval(t *testing.T) {
	s := silence(intervalRate, 1).tone(0.2, 1000, 0)
	s.add(times(0.2/math.Sqrt2/10, noise(seeded(8), intervalRate, len(s.x), between(300, 3400))))
	low := func(how job.Reading) float64 {
		m, err := reading.Measure(capture.FromSamples("", intervalRate, s.x), how)
		assert.NoError(t, err)
		r := m.Get(analyze.SINAD)
		return r.Value - r.Low
	}
	ssb, wide, narrow, unknown := low(job.Reading{Mode: job.SSB}), low(job.Reading{Deviation: 3000}), low(job.Reading{Mode: job.FM, Deviation: 1200}), low(job.Reading{})
	assert.Less(t, ssb, 0.3)
	assert.Greater(t, wide, ssb)
	assert.Greater(t, unknown, narrow)
	assert.GreaterOrEqual(t, unknown, wide)
}
