package simulate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func sineVolts(hz, rms, seconds float64) []float64 {
	out := make([]float64, int((seconds+2*cardMargin)*workRate)+1)
	addTone(out, rms*math.Sqrt2, hz/workRate, -2*math.Pi*hz*cardMargin)
	return out
}

// A band-limited resampling of a sine is that sine at the new instants.
func TestResamplingKeepsSines(t *testing.T) {
	for _, rate := range []int{8000, 16000, 44100, 48000, 96000} {
		for _, hz := range []float64{300, 1007.3, 3000} {
			c := SoundCard{Rate: rate, FullScaleVolts: 1, RateErrorPPM: 80}
			got := c.capture(sineVolts(hz, 0.5, 0.2), 0.2, 1)
			worst := 0.0
			for i, v := range got {
				want := 0.5 * math.Cos(2*math.Pi*hz*float64(i)/(float64(rate)*(1+80e-6)))
				worst = max(worst, math.Abs(v-want))
			}
			assert.Less(t, worst, 0.5*2e-4, "%d Hz, tone %g", rate, hz)
			assert.Len(t, got, rate/5)
		}
	}
}

// Rounding to b bits leaves noise of one step squared over 12; a full-scale
// sine then stands 6.0206 b + 1.7609 dB above it (any textbook).
func TestRoundingNoise(t *testing.T) {
	for _, bits := range []int{8, 12, 16} {
		// The card's noise, the same in both, spreads the rounding evenly.
		exact := SoundCard{Rate: 48000, FullScaleVolts: 1, NoiseDBFS: -40}
		rounding := exact
		rounding.Bits = bits
		volts := sineVolts(997.3, 0.9, 2)
		x, y := exact.capture(volts, 2, 1), rounding.capture(volts, 2, 1)
		power := 0.0
		for i := range x {
			power += (y[i] - x[i]) * (y[i] - x[i]) / float64(len(x))
		}
		assert.InDelta(t, 6.0206*float64(bits)+1.7609, 10*math.Log10(0.5/power), 0.05, "%d bits", bits)
	}
}

func TestCardNoiseAndDC(t *testing.T) {
	c := SoundCard{Rate: 48000, FullScaleVolts: 1, NoiseDBFS: -60, DC: 0.01}
	mean, power := 0.0, 0.0
	x := c.capture(sineVolts(1000, 0, 5), 5, 1)
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		power += (v - mean) * (v - mean) / float64(len(x))
	}
	assert.InDelta(t, 0.01, mean, 1e-5)
	assert.InDelta(t, -60, 10*math.Log10(power/0.5), 0.06)
}

func TestCardClips(t *testing.T) {
	c := SoundCard{Rate: 48000, Bits: 16, FullScaleVolts: 1}
	lowest, highest := 0.0, 0.0
	for _, v := range c.capture(sineVolts(1000, 1.5, 0.1), 0.1, 1) {
		lowest, highest = min(lowest, v), max(highest, v)
	}
	assert.Equal(t, -1.0, lowest)
	assert.Equal(t, 1-math.Exp2(-15), highest)
}

// A card that runs fast records a tone low: 1000/999 of the rate puts
// 1000 Hz on 999 Hz exactly.
func TestClockError(t *testing.T) {
	c := SoundCard{Rate: 48000, FullScaleVolts: 1, RateErrorPPM: 1e6 * (1000.0/999 - 1)}
	p := powers(c.capture(sineVolts(1000, 0.5, 1.1), 1, 1))
	total := 0.0
	for _, v := range p {
		total += v
	}
	assert.InDelta(t, 1, p[999]/total, 1e-7)
}

// An input capacitor takes DC off and leaves 1/sqrt(1+(fc/f)^2) of a tone.
func TestInputCapacitor(t *testing.T) {
	c := SoundCard{Rate: 24000, FullScaleVolts: 1, CouplingHz: 20}
	volts := sineVolts(100, 0.5, 1)
	for i := range volts {
		volts[i] += 0.7
	}
	p := powers(c.capture(volts, 1, 1)[12000:])
	assert.Less(t, p[0], 1e-6)
	assert.InDelta(t, -6.0206-10*math.Log10(1+0.04), 10*math.Log10(p[50]/0.5), 0.02)
}
