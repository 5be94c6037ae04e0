package parts

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
)

// quietingTake is a simulated recording of a signal that was switched.
func quietingTake(seed uint64, segments ...simulate.Segment) capture.Recording {
	card := simulate.PlainCard()
	card.Rate = 8000
	b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: card, Seed: seed}
	return b.Recording("quieting.wav", segments...)
}

var (
	partOff       = simulate.Segment{Seconds: 2, Off: true}
	partCarrier   = simulate.Segment{Seconds: 2.5, LevelDBm: -113, Unmodulated: true}
	partModulated = simulate.Segment{Seconds: 2, LevelDBm: -113}
	partStates    = []string{job.StateOff, job.StateCarrier, job.StateModulated, job.StateOff}
)

func TestPartsOfOneTake(t *testing.T) {
	found, err := Parts(quietingTake(1, partOff, partCarrier, partModulated, partOff), job.Reading{}, partStates)
	require.NoError(t, err)
	require.Len(t, found, 4)
	turned := []float64{0, 2, 4.5, 6.5, 8.5}
	for i, p := range found {
		assert.Equal(t, partStates[i], p.State)
		assert.GreaterOrEqual(t, p.From, turned[i]-0.001)
		assert.LessOrEqual(t, p.From, turned[i]+0.3)
		assert.LessOrEqual(t, p.To, turned[i+1]+0.001)
		assert.GreaterOrEqual(t, p.To, turned[i+1]-0.3)
		assert.Equal(t, p.State == job.StateModulated, p.Measured.Get(analyze.SINAD).OK())
	}
	assert.Greater(t, found[0].Noise, found[1].Noise+20, "the carrier quiets the set")
}

func TestPartsThatDoNotFit(t *testing.T) {
	for _, c := range []struct {
		name string
		take []simulate.Segment
		want string
	}{
		{"one left out", []simulate.Segment{partOff, partCarrier, partOff}, "4 parts are listed and 3 were found; found: 0.0 to 1.8 s no tone, noise -"},
		{"modulated throughout", []simulate.Segment{partOff, partModulated, {Seconds: 2, LevelDBm: -107}, partOff}, "part 2 should be carrier, but holds a tone"},
		{"not modulated", []simulate.Segment{partOff, partCarrier, {Seconds: 2, LevelDBm: -107, Unmodulated: true}, partOff}, "part 3 should be modulated, but holds no tone"},
		{"another order", []simulate.Segment{partCarrier, partOff, partModulated, partOff}, "part 1 should be off, but has less noise than part 2"},
	} {
		found, err := Parts(quietingTake(2, c.take...), job.Reading{}, partStates)
		require.True(t, IsMisfit(err), c.name)
		assert.ErrorContains(t, err, c.want)
		assert.Len(t, found, len(c.take), c.name)
	}
	_, err := Parts(quietingTake(3, partOff), job.Reading{}, []string{"loud"})
	assert.EqualError(t, err, `quieting.wav: part "loud" is not known: use off, carrier, modulated`)
}

// A carrier in an SSB set is a tone.
func TestPartsOfSSB(t *testing.T) {
	r := quietingTake(4, partOff, partModulated)
	_, err := Parts(r, job.Reading{Mode: job.SSB}, []string{job.StateOff, job.StateCarrier})
	assert.NoError(t, err)
	_, err = Parts(r, job.Reading{}, []string{job.StateOff, job.StateCarrier})
	assert.ErrorContains(t, err, "part 2 should be carrier, but holds a tone")
}

// A gain control takes its time when a signal goes: what is heard meanwhile
// belongs to no part, and the part before ends with its tone. One that never
// settles is refused.
func TestPartsBehindAGainControl(t *testing.T) {
	card := simulate.PlainCard()
	card.Rate = 8000
	for _, c := range []struct {
		of      steppedSet
		dBm     float64
		settles float64 // seconds behind the last switching, at most
	}{{steppedAM, -90, 0.7}, {steppedAM, -60, 1.3}, {steppedSSB, -60, 0}} {
		b := simulate.Bench{Generator: c.of.generator, Set: c.of.set, Card: card, Seed: 5}
		off, on := simulate.Segment{Seconds: 2.5, Off: true}, simulate.Segment{Seconds: 2, LevelDBm: c.dBm}
		is := []string{job.StateOff, job.StateModulated, job.StateOff}
		if c.of.mode == job.SSB {
			is[1] = job.StateCarrier
		}
		found, err := Parts(b.Recording("quieting.wav", off, on, off), job.Reading{Mode: c.of.mode}, is)
		if c.settles == 0 {
			require.True(t, IsMisfit(err))
			assert.ErrorContains(t, err, "1 of the 3 parts found did not keep still")
			continue
		}
		require.NoError(t, err)
		require.Len(t, found, 3)
		assert.InDelta(t, 2.65, found[1].From, 0.15)
		assert.InDelta(t, 4.4, found[1].To, 0.1)
		assert.Greater(t, found[1].Measured.Get(analyze.SINAD).Value, 28.0, "nothing of what comes behind the tone is in it")
		assert.Greater(t, found[2].From, 4.5)
		assert.Less(t, found[2].From, 4.5+c.settles)
		assert.InDelta(t, found[0].Noise, found[2].Noise, 0.5)
	}
}
