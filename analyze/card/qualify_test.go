package card

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/soundcard/loopback"
	"hisspoint/reports/sentence"
)

// loop is the program through a card with known faults: closed forms, and white
// noise of a known power.
type loop struct {
	gain, second, noise, hum float64 // gain; share of the second harmonic of a full tone; RMS of noise and of 50 Hz
	compress, again          float64 // dB that the soft part and the loud one behind it gain
	delay                    float64 // s
}

const loopRate = 20000

func (l loop) samples(seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 1))
	p := loopback.Samples(loopRate)
	x := make([]float64, int(l.delay*loopRate)+len(p))
	copy(x[int(l.delay*loopRate):], p)
	soft := [2]int{int((l.delay + loopback.Lead + 5) * loopRate), int((l.delay + loopback.Lead + 7) * loopRate)}
	for i := range x {
		g := l.gain
		if i >= soft[0] && i < soft[1] {
			g *= math.Pow(10, l.compress/20)
		}
		if i >= soft[1] && i < soft[1]+loopRate {
			g *= math.Pow(10, l.again/20)
		}
		x[i] = g*(x[i]+l.second*x[i]*x[i]) + l.noise*r.NormFloat64() + l.hum*math.Sqrt2*math.Sin(2*math.Pi*50*float64(i)/loopRate)
	}
	return x
}

func qualifyLoop(t *testing.T, volts float64, ls ...loop) (job.Card, error) {
	var channels []capture.Recording
	for i, l := range ls {
		r := capture.FromSamples("loop.wav", loopRate, l.samples(uint64(i)))
		r.Origin.Channel, r.Origin.Channels = i+1, len(ls)
		channels = append(channels, r)
	}
	c, findings, err := Qualify(channels, volts)
	c.Findings = sentence.All(findings)
	return c, err
}

func TestQualifyCardFindsWhatWasPutIn(t *testing.T) {
	const noise = 1e-4
	c, err := qualifyLoop(t, 0.5, loop{gain: 0.5, second: 0.01, noise: noise, hum: 2e-4, delay: 0.33}, loop{gain: 0.25, noise: noise, delay: 0.33})
	require.NoError(t, err)
	assert.InDelta(t, 20*math.Log10(0.5), c.GainDB, 0.01)
	// a sine of amplitude A through x + s x^2 has a second harmonic of s A / 2
	assert.InDelta(t, 100*0.01*math.Pow(10, loopback.LoudDBFS/20)/2, c.DistortionPC, 0.01)
	// white noise: the speech band holds 3100 Hz of 10 kHz
	assert.InDelta(t, analyze.DBFS(noise*noise*3100/(loopRate/2)), c.NoiseDBFS[job.SpeechBand], 0.3)
	require.NotNil(t, c.HumDBFS)
	assert.InDelta(t, analyze.DBFS(4e-8), *c.HumDBFS, 0.1)
	require.NotNil(t, c.BalanceDB)
	assert.InDelta(t, -6.02, *c.BalanceDB, 0.01)
	assert.InDelta(t, 0, c.StepDB, 0.01)
	assert.InDelta(t, 0, c.DriftDB, 0.01)
	require.NotNil(t, c.FullScaleVolts)
	assert.InDelta(t, 0.5/math.Pow(10, (loopback.LoudDBFS-6.0206)/20), *c.FullScaleVolts, 0.001)
	require.Len(t, c.Response, len(loopback.ResponseHz))
	for _, p := range c.Response {
		assert.InDelta(t, 0, p.DB, 0.02, p.Hz)
	}
	assert.Len(t, c.Findings, 1, "its distortion of 0.25 %%: %v", c.Findings)
}

// A loop without any noise, as from a sink that is none: what rounding to 16 bits may
// hide, 6.02 * 16 + 1.76 dB below a full sine (Bennett, Bell System Technical Journal
// 27, 446, 1948, from memory), and a qualification that can be kept.
func TestQualifyCardOfADigitalLoop(t *testing.T) {
	r := capture.FromSamples("loop.wav", loopRate, loop{gain: 1, delay: 0.3}.samples(1))
	r.Origin.Bits = 16
	c, _, err := Qualify([]capture.Recording{r}, 0)
	require.NoError(t, err)
	for _, filter := range job.FilterNames {
		assert.InDelta(t, -(6.0206*16 + 1.7609), c.NoiseDBFS[filter], 0.001, filter)
	}
	q := job.Qualified{Card: c}
	assert.NoError(t, q.Check())
}

func TestQualifyCardFindsAGainControl(t *testing.T) {
	c, err := qualifyLoop(t, 0, loop{gain: 0.5, noise: 1e-4, compress: 6})
	require.NoError(t, err)
	assert.InDelta(t, 6, c.StepDB, 0.05)
	assert.Nil(t, c.FullScaleVolts)
	require.Len(t, c.Findings, 1)
	assert.Contains(t, c.Findings[0], "switch off automatic gain")

	// one that is slow to turn down again lets the next loud tone through
	c, err = qualifyLoop(t, 0, loop{gain: 0.05, noise: 1e-5, compress: 16, again: 14})
	require.NoError(t, err)
	assert.InDelta(t, 14, c.DriftDB, 0.05)
	assert.Contains(t, c.Findings[0], "switch off automatic gain")
}

func TestQualifyCardRefusesWhatIsNoLoop(t *testing.T) {
	_, err := qualifyLoop(t, 0, loop{noise: 1e-4})
	assert.EqualError(t, err, "loop.wav: the test program is not in it: is the output connected to the input, and loud enough?")
	_, _, err = Qualify([]capture.Recording{capture.FromSamples("x.wav", 8000, make([]float64, 8000))}, 0)
	assert.ErrorContains(t, err, "x.wav: the test program is not in it")
}

func TestCardClock(t *testing.T) {
	x := make([]float64, 8000)
	for i := range x {
		x[i] = 0.3 * math.Sin(2*math.Pi*1000*(1+50e-6)*float64(i)/8000)
	}
	ppm, err := Clock(capture.FromSamples("gps.wav", 8000, x), 1000)
	require.NoError(t, err)
	assert.InDelta(t, 50, ppm, 0.5)
}
