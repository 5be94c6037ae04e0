package watch

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/reports/sentence"
)

// tuned is the response in dB of a single tuned circuit that is off its peak by so many
// half bandwidths: the universal resonance curve, 1/sqrt(1 + x^2) (Terman, Radio
// Engineers' Handbook, from memory).
func tuned(x float64) float64 { return -10 * math.Log10(1+x*x) }

// pair is that of two circuits coupled three times critically, which has two humps at
// +-sqrt(8) and between them falls to 2c/(1+c^2), 4.4 dB down, c = 3 (ibid.); another
// circuit of the set makes one of them 2 dB higher.
func pair(x float64) float64 {
	const c = 3
	return 20*math.Log10(2*c/math.Sqrt(math.Pow(1+c*c-x*x, 2)+4*x*x)) + 2*math.Tanh(x)/2
}

// turned is a core's place over time: straight from each corner to the next.
func turned(corners ...[2]float64) func(t float64) float64 {
	return func(t float64) float64 {
		for i := 1; i < len(corners); i++ {
			if a, b := corners[i-1], corners[i]; t < b[0] {
				return a[1] + (b[1]-a[1])*math.Max(0, t-a[0])/(b[0]-a[0])
			}
		}
		return corners[len(corners)-1][1]
	}
}

// told is what a person should be told from one moment to another.
type told struct {
	from, to float64
	states   string
}

// course is a coil that is turned, with all that a person should be told of it. Moments
// between the stretches belong to either.
type course struct {
	name    string
	heard   bool // recorded and measured; else its readings alone, half a second each
	seconds float64
	db      func(t float64) float64 // level of the tone, against -20 dBFS; -200: none
	told    []told
}

func courses() []course {
	const none = -200
	slow := turned([2]float64{1, -3}, [2]float64{31, 3})
	fast := turned([2]float64{2, -3}, [2]float64{4, 3})
	humps := turned([2]float64{1, -6}, [2]float64{25, 6})
	// The core is turned past the peak, then back, but stands still for 2 s until its
	// thread bites; at the peak it is left.
	backlash := turned([2]float64{1, -2}, [2]float64{9, 1.2}, [2]float64{11, 1.2}, [2]float64{17, 0})
	return []course{
		{"slow", false, 33, func(t float64) float64 { return tuned(slow(t)) }, []told{
			{1.6, 15, analyze.Better}, {16.7, 17.2, analyze.AtBest}, {18.2, 32, analyze.PastBest}}},
		{"fast", true, 18, func(t float64) float64 { return tuned(fast(t)) }, []told{
			{0.8, 2, analyze.AtBest}, {2.5, 3, analyze.Better}, {3.7, 13, analyze.PastBest}, {14.5, 18, analyze.ShortOf}}},
		{"two humps", false, 27, func(t float64) float64 { return pair(humps(t)) }, []told{
			{1.6, 7, analyze.Better}, {8.5, 13, analyze.PastBest}, {14, 16.7, analyze.Closer}, {17.6, 18.6, analyze.Better}, {20.2, 26, analyze.PastBest}}},
		{"backlash", true, 22, func(t float64) float64 { return tuned(backlash(t)) }, []told{
			{1.8, 5.5, analyze.Better}, {7.6, 11, analyze.PastBest}, {12, 14.6, analyze.Closer}, {18, 22, analyze.AtBest}}},
		{"drift", false, 60, func(t float64) float64 { return -1.2 * t / 60 }, []told{ // a set that warms up
			{1, 13, analyze.AtBest}, {17.5, 60, analyze.ShortOf}}},
		{"dropouts", true, 16, func(t float64) float64 {
			if t > 3 && t < 4.2 || t > 9 && t < 11 {
				return none
			}
			return tuned(turned([2]float64{1, -2}, [2]float64{7, 0})(t))
		}, []told{{1.6, 3, analyze.Better}, {3.5, 4.6, analyze.NoReading}, {5.8, 6.2, analyze.Better}, {8, 9, analyze.AtBest}, {9.5, 11.4, analyze.NoReading}, {11.8, 16, analyze.AtBest}}},
		{"too much level", true, 12, func(t float64) float64 {
			if t > 4 && t < 6 {
				return 26
			}
			return 0
		}, []told{{1, 4, analyze.AtBest}, {4.3, 6, analyze.TooMuch}, {7.1, 12, analyze.AtBest}}},
	}
}

// sound is a course as a card records it: the tone over noise, clipped at full scale.
func (c course) sound(seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 3))
	x := make([]float64, int(c.seconds*liveRate))
	for i := range x {
		t := float64(i) / liveRate
		x[i] = math.Max(-1, math.Min(1, 0.1*math.Pow(10, c.db(t)/20)*math.Sin(2*math.Pi*1000*t)+0.0005*r.NormFloat64()))
	}
	return x
}

// follow gives a needle every tenth of a second.
func (c course) follow(t *testing.T, each func(at float64, n analyze.Needle)) {
	if c.heard {
		follow(t, c.sound(1), analyze.AimAudio, 0.5, 0.6, func(at float64, _ analyze.Measured, n analyze.Needle) { each(at, n) })
		return
	}
	a, err := NewAimer(analyze.AimAudio)
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(1, 3))
	for i := 6; float64(i) < 10*c.seconds; i++ {
		at := float64(i) / 10
		v := -20 + c.mean(at) + 0.02*r.NormFloat64()
		each(at, a.Add(analyze.Measured{From: at - 0.5, To: at, Readings: []analyze.Reading{analyze.NewReading(analyze.ToneLevel, "dBFS", v, v-0.04, v+0.04)}}))
	}
}

// mean is the level that a reading of half a second has by its definition: that of the
// mean amplitude.
func (c course) mean(at float64) float64 {
	sum := 0.0
	for i := range 500 {
		sum += math.Pow(10, c.db(at-0.5+float64(i)/1000)/20) / 500
	}
	return 20 * math.Log10(sum)
}

// Every moment of every course: what is told is what a person should be told, the bar
// stands where the level stands on its scale of 40 dB, 20 dB below its start to 20 dB
// above, the pitch is 220 Hz and a semitone for each dB from there.
func TestCourses(t *testing.T) {
	for _, c := range courses() {
		t.Run(c.name, func(t *testing.T) {
			start := math.NaN()
			var table strings.Builder
			c.follow(t, func(at float64, n analyze.Needle) {
				if math.IsNaN(start) {
					start = c.mean(at)
				}
				fmt.Fprintf(&table, "%5.1f s %-15s place %.2f best %.2f pitch %4.0f Hz gap %.2f\n", at, n.State, n.Place, n.BestPlace, n.PitchHz, n.GapDB)
				db := c.mean(at)
				steady := math.Abs(db-c.mean(at-0.5)) < 10
				if n.Now.OK() && n.State != analyze.TooMuch && steady {
					above := 20 + db - start
					within := math.Max(0.3, n.ScatterDB) // a core that is turned fast moves within the reading
					assert.InDelta(t, above/40, n.Place, within/40, "place at %.1f s", at)
					assert.InDelta(t, 12*math.Log2(n.PitchHz/220), above, within, "pitch at %.1f s", at)
					assert.Less(t, n.ScatterDB, 1.5, "at %.1f s", at)
				}
				if !n.Now.OK() || n.State == analyze.TooMuch {
					assert.Zero(t, n.PitchHz, "a tone at %.1f s, with nothing to follow", at)
				}
				agrees(t, at, n)
				for _, s := range c.told {
					if at > s.from && at < s.to {
						assert.Equal(t, s.states, n.State, "at %.1f s", at)
					}
				}
			})
			if t.Failed() {
				t.Log("\n" + table.String())
			}
		})
	}
}

// agrees checks that the state does not contradict the figures beside it.
func agrees(t *testing.T, at float64, n analyze.Needle) {
	margin := math.Max(0.3, 1.8*n.ScatterDB)
	if !n.Best.OK() { // by the first readings
		return
	}
	switch n.State {
	case analyze.Better, analyze.AtBest:
		assert.LessOrEqual(t, n.GapDB, margin, "%s at %.1f s", n.State, at)
	case analyze.PastBest, analyze.Closer, analyze.ShortOf:
		assert.Greater(t, n.GapDB, margin, "%s at %.1f s", n.State, at)
	case analyze.NoReading:
		assert.False(t, n.Now.OK(), "at %.1f s", at)
	}
}

// Readings of a steady sound that scatter, each of half a second and so nearly as its
// neighbours, stay at their best: chance moves no state.
func TestScatterIsNoMove(t *testing.T) {
	for _, deviation := range []float64{0.02, 0.2, 0.6} { // of a reading, in dB
		for seed := range uint64(20) {
			r := rand.New(rand.NewPCG(17, seed))
			a, err := NewAimer(analyze.AimSINAD)
			require.NoError(t, err)
			var tenths []float64
			states, all := map[string]int{}, 0
			for i := range 600 {
				tenths = append(tenths, deviation*math.Sqrt(5)*r.NormFloat64())
				if i < 5 {
					continue
				}
				v := 20.0
				for _, x := range tenths[i-4:] {
					v += x / 5
				}
				at, h := float64(i)/10, 1.96*deviation
				n := a.Add(analyze.Measured{From: at - 0.5, To: at, Readings: []analyze.Reading{analyze.NewReading(analyze.SINAD, "dB", v, v-h, v+h)}})
				if i < 50 {
					continue
				}
				agrees(t, at, n)
				states[n.State]++
				all++
			}
			assert.GreaterOrEqual(t, states[analyze.AtBest], all*95/100, "deviation %g dB, seed %d: %v", deviation, seed, states)
			assert.LessOrEqual(t, states[analyze.PastBest], all*3/100, "deviation %g dB, seed %d: %v", deviation, seed, states)
		}
	}
}

// The needle is smoothed within the scatter, and follows a step at once.
func TestNeedleIsSmoothedWithinItsScatterOnly(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 4))
	x := make([]float64, 14*liveRate)
	for i := range x {
		a := 0.1
		if i >= 12*liveRate {
			a = 0.05
		}
		x[i] = a*math.Sin(2*math.Pi*1000*float64(i)/liveRate) + 0.03*r.NormFloat64()
	}
	var raw, shown []float64
	reached := 0.0
	follow(t, x, analyze.AimSINAD, 0.5, 5, func(at float64, m analyze.Measured, n analyze.Needle) {
		if at < 12 {
			raw, shown = append(raw, m.Get(analyze.SINAD).Value), append(shown, n.Now.Value)
		}
		if reached == 0 && at > 12 && n.Now.Value < shown[len(shown)-1]-4.5 {
			reached = at
		}
	})
	moves := func(x []float64) (sum float64) { // from reading to reading
		for i := 1; i < len(x); i++ {
			sum += math.Pow(x[i]-x[i-1], 2)
		}
		return math.Sqrt(sum / float64(len(x)-1))
	}
	assert.Less(t, moves(shown), 0.5*moves(raw))
	assert.Less(t, reached, 12.7, "a step of 6 dB is there once the reading holds nothing else")
}

// The scale is fixed: SINAD 0 to 40 dB, distortion 30 to 0.3 %. That of hiss goes on where
// a reading leaves it, and the pitch of what was told stays.
func TestScales(t *testing.T) {
	give := func(a *Aimer, at, v float64) analyze.Needle {
		r := analyze.Reading{Name: aimReading[a.aim], Value: v, Low: v * 0.999, High: v * 1.001}
		if v < 0 {
			r.Low, r.High = r.High, r.Low
		}
		return a.Add(analyze.Measured{From: at - 0.1, To: at, Readings: []analyze.Reading{r}})
	}
	newAimer := func(aim string) *Aimer {
		a, err := NewAimer(aim)
		require.NoError(t, err)
		return a
	}
	for i, c := range []struct {
		aim              string
		v                float64
		poor, good       float64
		place, semitones float64
	}{
		{analyze.AimSINAD, 12, 0, 40, 0.3, 12}, {analyze.AimSINAD, 52, 0, 40, 1, 48}, {analyze.AimSINAD, -1, 0, 40, 0, -1},
		{analyze.AimDistortion, 3, 30, 0.3, 0.5, 20}, {analyze.AimHiss, -40, -30, -70, 0.25, 10}, {analyze.AimAudio, -15, -35, 5, 0.5, 20},
	} {
		n := give(newAimer(c.aim), 1, c.v)
		assert.InDelta(t, c.poor, n.Poor, 1e-9, i)
		assert.InDelta(t, c.good, n.Good, 1e-9, i)
		assert.InDelta(t, c.place, n.Place, 1e-9, i)
		assert.InDelta(t, 220*math.Pow(2, c.semitones/12), n.PitchHz, 1e-6, i)
	}
	a := newAimer(analyze.AimHiss)
	first := give(a, 1, -40)
	n := give(a, 2, -75)
	assert.InDelta(t, -80, n.Good, 1e-9, "it goes on by 10 dB")
	assert.InDelta(t, 0.9, n.Place, 1e-9)
	assert.Equal(t, []float64{0, 1}, n.Course.Places, "the course has a range of its own")
	assert.InDelta(t, -40, n.Course.Poor, 1e-9)
	assert.InDelta(t, -75, n.Course.Good, 1e-9)
	assert.Equal(t, first.PitchHz, give(a, 3, -40).PitchHz)
	assert.LessOrEqual(t, give(a, 4, -1e6).Place, 1.0)
	n = give(a, 5, -40)
	assert.False(t, math.IsNaN(n.Place) || math.IsInf(n.PitchHz, 0))
	for i := range 900 {
		n = give(a, 5+float64(i)/10, -40)
	}
	assert.Len(t, n.Course.Places, 240, "60 s")
}

// Two channels that differ and each hold a tone: none is read until it is stated, the
// clearer one least of all; each is told of. What is chosen stays chosen.
func TestChannelsAreNotChosenByTheirFigures(t *testing.T) {
	l, err := NewLive("bench", liveRate, 2, 0, job.Reading{})
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(2, 2))
	add := func(left, right float64) analyze.Measured {
		block := make([]float64, 2*liveRate)
		for i := range liveRate {
			s := math.Sin(2 * math.Pi * 1000 * float64(i) / liveRate)
			block[2*i], block[2*i+1] = left*s+0.02*r.NormFloat64(), right*s+0.001*r.NormFloat64()
		}
		l.Add(block)
		m, err := l.Measure()
		require.NoError(t, err)
		return m
	}
	m := add(0.1, 0.2)
	assert.False(t, m.Get(analyze.SINAD).OK())
	assert.Zero(t, l.Channel())
	require.Len(t, m.Warnings, 1)
	for _, words := range []string{"channel 1 holds 1000.0 Hz at -20.0 dBFS", "channel 2 holds 1000.0 Hz at -14.0 dBFS", "--channel"} {
		assert.Contains(t, sentence.Of(m.Warnings[0].Says), words)
	}
	m = add(0.1, 0)
	assert.Equal(t, 1, l.Channel(), "it alone holds a tone")
	assert.True(t, m.Get(analyze.SINAD).OK())
	m = add(0.1, 0.2)
	assert.Equal(t, 1, l.Channel())
	assert.InDelta(t, -20, m.Get(analyze.ToneLevel).Value, 0.2)
}
