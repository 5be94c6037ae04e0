package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
)

// bench is a simulated bench whose card takes 16,000 samples a second, for speed.
func bench(seed uint64) simulate.Bench {
	card := simulate.PlainCard()
	card.Rate = 16000
	return simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: card, Seed: seed}
}

// sixteen makes a recording that says it came from 16 bits, as files do.
func sixteen(rate int, x []float64) capture.Recording {
	o := capture.Origin{File: "x.wav", Container: "riff", Encoding: "pcm", Bits: 16, Channel: 1, Channels: 1}
	r := capture.FromSamples("x.wav", rate, x)
	r.Origin = o
	return r
}

// Clean recordings give no warning and are used whole: from the threshold of FM,
// where noise comes in clicks, to a strong carrier.
func TestCleanRecordingsGiveNoWarning(t *testing.T) {
	n := 24
	if long() {
		n = 400
	}
	low, high := 100.0, -100.0
	for i := range n {
		seconds := []float64{1, 2, 3, 5, 10, 20, 1.5, 0.7}[i%8]
		if !long() {
			seconds = min(seconds, 5)
		}
		level := -124 + 0.37*float64(i*7%100)
		b := bench(uint64(1000 + i))
		if i%3 == 1 {
			b.Card.RateErrorPPM = 120
			b.Generator.SubToneHz, b.Generator.SubDeviationHz = 88.5, 300
		}
		if i%4 == 3 { // up to what the card can tell
			set := simulate.Healthy27MHzFM()
			set.Audio.SecondPercent, set.Audio.ThirdPercent, set.Audio.Hum = 0, 0, simulate.Hum{}
			b.Set, b.Card.FullScaleVolts, level = set, 2, level+50
		}
		m, err := reading.Measure(sixteen(b.Card.Rate, b.Take(level, seconds)), job.Reading{})
		assert.NoError(t, err)
		assert.Empty(t, m.Warnings, "%g s at %g dBm, seed %d", seconds, level, b.Seed)
		assert.Equal(t, 0.0, m.From)
		assert.InDelta(t, seconds, m.To, 1e-9)
		if s := m.Get(analyze.SINAD); s.OK() {
			low, high = min(low, s.Value), max(high, s.Value)
		}
	}
	assert.Less(t, low, 4.0)
	assert.Greater(t, high, 45.0)
	t.Logf("%d recordings, SINAD %.1f to %.1f dB", n, low, high)
}

// Beyond what a receiver reaches: a tone with harmonics and hum in Gaussian noise, up to 60 dB.
func TestCleanTonesGiveNoWarning(t *testing.T) {
	n := 24
	if long() {
		n = 300
	}
	for i := range n {
		wanted := 3 + 57*float64(i)/float64(n-1)
		seconds := []float64{0.5, 1, 2, 5}[i%4]
		rms := 0.3 / math.Sqrt2 * math.Pow(10, -wanted/20)
		s := silence(16000, seconds).tone(0.3, 1000+0.37*float64(i%9), 1).tone(rms, 2*(1000+0.37*float64(i%9)), 0)
		s.tone(0.02, 100.03, 2).tone(0.01, 50.015, 0).tone(0.01, 88.5, 0)
		s.add(times(rms, noise(seeded(uint64(700+i)), 16000, len(s.x), between(30, 7000))))
		m, err := reading.Measure(sixteen(16000, to16(s.x)), job.Reading{})
		assert.NoError(t, err)
		assert.Empty(t, m.Warnings, "%g s at %g dB, %d", seconds, wanted, i)
	}
}
