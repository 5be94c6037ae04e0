package watch

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
	"hisspoint/reports/sentence"
)

const liveRate = 8000

// peaking is a coil turned through its peak: the tone rises 8 dB to the moment of
// the peak and falls again, 4 dB a second, over noise that stays.
func peaking(seconds, peakS float64) []float64 {
	r := rand.New(rand.NewPCG(5, 1))
	x := make([]float64, int(seconds*liveRate))
	for i := range x {
		t := float64(i) / liveRate
		db := math.Max(-8, -4*math.Abs(t-peakS))
		x[i] = 0.1*math.Pow(10, db/20)*math.Sin(2*math.Pi*1000*t) + 0.01*r.NormFloat64()
	}
	return x
}

// follow feeds samples in the pieces of a sound card and gives a needle every
// tenth of a second.
func follow(t *testing.T, x []float64, aim string, seconds, from float64, each func(at float64, m analyze.Measured, n analyze.Needle)) {
	l, err := NewLive("bench", liveRate, 1, 0, job.Reading{})
	require.NoError(t, err)
	l.SetSeconds(seconds)
	a, err := NewAimer(aim)
	require.NoError(t, err)
	const block = liveRate / 50
	for i := 0; i+block <= len(x); i += block {
		l.Add(x[i : i+block])
		if (i/block)%5 != 4 || !l.Ready() || l.Heard() < from {
			continue
		}
		m, err := l.Measure()
		require.NoError(t, err)
		each(l.Heard(), m, a.Add(m))
	}
}

func TestLiveFindsThePeakAtItsMoment(t *testing.T) {
	for _, aim := range []string{analyze.AimAudio, analyze.AimSINAD} {
		var last analyze.Needle
		states := map[string]float64{} // state -> when it was first told
		follow(t, peaking(5, 3), aim, 0.5, 1.5, func(at float64, _ analyze.Measured, n analyze.Needle) {
			last = n
			if _, told := states[n.State]; !told && at > 2 {
				states[n.State] = at
			}
		})
		assert.InDelta(t, 3, last.BestAtS, 0.3, aim)
		assert.Equal(t, analyze.PastBest, last.State, aim)
		assert.Greater(t, states[analyze.PastBest], 3.1, aim)
		assert.Less(t, states[analyze.PastBest], 4.4, "at most 5 dB below, while it falls by 4 dB a second", aim)
		assert.Less(t, last.Place, last.BestPlace-0.1, aim)
		if aim == analyze.AimAudio { // the mean of a triangle of 4 dB a second over 0.7 s lies 0.7 dB below its top
			assert.InDelta(t, -20-0.7, last.Best.Value, 0.3)
		}
	}
}

// A live reading is what measure makes of the same part of a file.
func TestLiveAgreesWithMeasure(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	x := make([]float64, 3*liveRate)
	for i := range x {
		x[i] = 0.1*math.Sin(2*math.Pi*1000*float64(i)/liveRate) + 0.01*r.NormFloat64()
	}
	whole, err := reading.Measure(capture.FromSamples("whole", liveRate, x), job.Reading{})
	require.NoError(t, err)
	inside, all := 0, 0
	follow(t, x, analyze.AimSINAD, 0.5, 1.5, func(at float64, m analyze.Measured, _ analyze.Needle) {
		part, err := capture.FromSamples("part", liveRate, x).Cut(int64(math.Round((at-0.5)*liveRate)), liveRate/2)
		require.NoError(t, err)
		same, err := reading.Measure(part, job.Reading{})
		require.NoError(t, err)
		assert.Equal(t, same.Readings, m.Readings)
		assert.InDelta(t, at, m.To, 1e-9)
		s := m.Get(analyze.SINAD)
		all++
		if s.Low <= whole.Get(analyze.SINAD).Value && whole.Get(analyze.SINAD).Value <= s.High {
			inside++
		}
	})
	assert.GreaterOrEqual(t, inside, all*8/10)
}

// A step of 6 dB of level or of SINAD is shown within 0.3 s at the shortest time
// constant: by then all of the change but 1 dB.
func TestLiveShowsAStepAtOnce(t *testing.T) {
	for _, c := range []struct {
		reading             string
		amplitude, noise    float64 // after the step; 0.1 and 0.01 before it
		before, after, part float64 // what the readings then are, and what shows the step
	}{
		{analyze.ToneLevel, 0.2, 0.01, -20, -13.98, -15},
		{analyze.SINAD, 0.1, 0.005, 18.3, 24.3, 23.3}, // noise over 3100 of 4000 Hz: 10 log10(0.1^2/2 / (0.01^2 3100/4000)) = 18.1, with the tone 18.2
	} {
		x := make([]float64, 3*liveRate/2)
		r := rand.New(rand.NewPCG(3, 1))
		for i := range x {
			a, noise := 0.1, 0.01
			if i >= liveRate {
				a, noise = c.amplitude, c.noise
			}
			x[i] = a*math.Sin(2*math.Pi*1000*float64(i)/liveRate) + noise*r.NormFloat64()
		}
		shown := 0.0
		follow(t, x, analyze.AimAudio, reading.MinSeconds, 0.5, func(at float64, m analyze.Measured, _ analyze.Needle) {
			v := m.Get(c.reading)
			if at < 1 {
				assert.InDelta(t, c.before, v.Value, 2.5, c.reading)
			}
			if shown == 0 && v.OK() && v.Value > c.part {
				shown = at
			}
		})
		assert.Greater(t, shown, 1.0, c.reading)
		assert.LessOrEqual(t, shown, 1.3, c.reading)
	}
}

func TestLiveSaysSilenceClippingAndTheOtherChannel(t *testing.T) {
	l, err := NewLive("bench", liveRate, 2, 0, job.Reading{})
	require.NoError(t, err)
	add := func(left, right func(i int) float64) analyze.Measured {
		block := make([]float64, 2*liveRate)
		for i := range liveRate {
			block[2*i], block[2*i+1] = left(i), right(i)
		}
		l.Add(block)
		m, err := l.Measure()
		require.NoError(t, err)
		return m
	}
	silence := func(int) float64 { return 0 }
	tone := func(a float64) func(i int) float64 {
		return func(i int) float64 {
			return math.Max(-0.5, math.Min(0.5, a*math.Sin(2*math.Pi*1000*float64(i)/liveRate+0.3))) + 1e-3*math.Sin(float64(i*i))
		}
	}
	assert.Equal(t, []string{"channel-silent"}, codes(add(silence, silence)))
	m := add(silence, tone(0.25))
	assert.Equal(t, 2, l.Channel(), "the channel that carries the tone")
	assert.Empty(t, codes(m))
	hard := func(i int) float64 {
		return math.Max(-1, math.Min(1, 2*math.Sin(2*math.Pi*237*float64(i)/liveRate+0.3)))
	}
	assert.Contains(t, codes(add(silence, hard)), "clipped")
	assert.Equal(t, []string{"channel-silent"}, codes(add(silence, silence)))
	m = add(tone(0.25), silence)
	assert.Equal(t, 2, l.Channel(), "one channel for all that is watched")
	assert.Contains(t, sentence.Of(m.Warnings[0].Says), "--channel 1")
}

func codes(m analyze.Measured) (out []string) {
	for _, w := range m.Warnings {
		out = append(out, string(w.Code))
	}
	return out
}

// On a deaf set hiss tells a peak that SINAD hardly shows: the simulated FM set,
// whose noise follows Rice's theory (DEVELOPERS.md), 2 dB of signal apart.
func TestHissResolvesWhatSINADHardlyDoes(t *testing.T) {
	b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: simulate.PlainCard(), Seed: 1}
	b.Card.Rate = liveRate
	read := func(dbm float64, unmodulated bool, name string) float64 {
		x := b.Record(simulate.Segment{Seconds: 2, LevelDBm: dbm, Unmodulated: unmodulated})
		m, err := reading.Measure(capture.FromSamples("", liveRate, x), job.Reading{})
		require.NoError(t, err)
		require.True(t, m.Get(name).OK())
		return m.Get(name).Value
	}
	sinad := read(-126, false, analyze.SINAD) - read(-128, false, analyze.SINAD)
	hiss := read(-128, true, analyze.NoiseLevel) - read(-126, true, analyze.NoiseLevel)
	assert.Greater(t, hiss, 2*sinad)
	assert.Less(t, sinad, 1.0)

	a, err := NewAimer(analyze.AimSINAD)
	require.NoError(t, err)
	deaf := analyze.Measured{Readings: []analyze.Reading{{Name: analyze.SINAD, Unit: "dB", Value: 1, Low: 0.8, High: 1.2}}}
	assert.Contains(t, a.Add(deaf).Advice, "aim for hiss")
}

func TestDistortionShowsAudioBesideIt(t *testing.T) {
	a, err := NewAimer(analyze.AimDistortion)
	require.NoError(t, err)
	at := 0.0
	give := func(thd, audio float64) analyze.Needle {
		at += 0.5
		return a.Add(analyze.Measured{From: at - 0.5, To: at, Readings: []analyze.Reading{
			{Name: analyze.THD, Unit: "%", Value: thd, Low: thd * 0.95, High: thd * 1.05}, {Name: analyze.ToneLevel, Unit: "dBFS", Value: audio, Low: audio - 0.1, High: audio + 0.1}}})
	}
	for range 3 {
		give(4, -20)
	}
	var n analyze.Needle
	for range 3 {
		n = give(2, -18)
	}
	assert.Equal(t, analyze.AtBest, n.State)
	assert.InDelta(t, 2, n.Best.Value, 1e-9)
	require.NotNil(t, n.Beside)
	assert.InDelta(t, -18, n.Beside.Best.Value, 1e-9)
	n = give(4, -19)
	assert.InDelta(t, 20*math.Log10(2), n.GapDB, 1e-9)
	a.Forget()
	n = give(4, -19)
	assert.False(t, n.Best.OK(), "a new best begins with nothing")
	_, err = NewAimer("volume")
	assert.Error(t, err)
}
