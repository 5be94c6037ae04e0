package truth_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// split is what a least-squares fit of a sine of known frequency makes of a
// sound: mean square of a whole cycle of the sine, and of the rest.
func split(s signal, hz float64) (tone, rest float64) {
	var cc, cs, ss, xc, xs float64
	turn := func(i int) (sn, cn float64) {
		return math.Sincos(2 * math.Pi * math.Mod(hz*float64(i)/float64(s.rate), 1))
	}
	for i, x := range s.x {
		sn, cn := turn(i)
		cc, cs, ss, xc, xs = cc+cn*cn, cs+cn*sn, ss+sn*sn, xc+x*cn, xs+x*sn
	}
	det := cc*ss - cs*cs
	a, b := (xc*ss-xs*cs)/det, (xs*cc-xc*cs)/det
	for i, x := range s.x {
		sn, cn := turn(i)
		d := x - a*cn - b*sn
		rest += d * d / float64(len(s.x))
	}
	return (a*a + b*b) / 2, rest
}

// A tone in noise whose power in the band is known: SINAD, S/N and noise level
// by their definition, with all of the noise in the band and with noise beyond it.
func TestToneInNoiseOfKnownPower(t *testing.T) {
	seed := uint64(0)
	for _, rate := range rates {
		for _, sinad := range []float64{3, 6, 12, 20, 40, 60} {
			for _, hz := range []float64{412.7, 1000, 3371.1} {
				if seed++; rate > 8000 && seed%3 != 0 && !long() {
					continue
				}
				s := silence(rate, 2).tone(0.5, hz, 1)
				nd := 0.125 / (math.Pow(10, sinad/10) - 1)
				n := len(s.x)
				s.add(times(math.Sqrt(nd), noise(seeded(seed), rate, n, between(310, 3390))))
				tone, rest := split(s, hz)
				s.add(times(2*math.Sqrt(nd), noise(seeded(seed+1000), rate, n, between(3420, float64(rate)/2))))
				m := s.measure(t, job.Reading{ToneHz: hz})
				name := fmt.Sprintf("%d Hz, %g Hz, %g dB", rate, hz, sinad)
				assert.InDelta(t, db((tone+rest)/rest), value(t, m, analyze.SINAD), 0.01, name)
				assert.InDelta(t, db(2*rest), value(t, m, analyze.NoiseLevel), 0.02, name)
				assert.InDelta(t, db(tone/rest), value(t, m, analyze.SNR), 0.03, name)
				assert.InDelta(t, db(2*tone), value(t, m, analyze.ToneLevel), 0.01, name)
			}
		}
	}
}

// White noise from 300 to 3400 and 300 to 3000 Hz through the weightings reads
// what the published tables say.
func TestWhiteNoiseThroughTheWeightings(t *testing.T) {
	for _, c := range []struct {
		filter   string
		low, top float64
		db       float64
	}{
		{job.Psophometric, 300, 3400, -2.51}, {job.Psophometric, 300, 3000, -2.12},
		{job.CMessage, 300, 3400, -1.91}, {job.CMessage, 300, 3000, -1.64},
		{job.SpeechBand, 300, 3400, 0}, {job.SpeechBand, 100, 3400, 10 * math.Log10(3100./3300)},
		{job.Wide, 300, 3400, 0},
	} {
		const rate = 16000
		n := 10 * rate
		if long() {
			n *= 20
		}
		x := times(0.1, noise(seeded(3), rate, n, between(c.low, c.top)))
		m := signal{rate: rate, x: x}.measure(t, job.Reading{Filter: job.Filter{Name: c.filter}})
		// 31,000 independent pairs know a power to 0.03 dB, and the ratio of two better.
		assert.InDelta(t, c.db, value(t, m, analyze.NoiseLevel)-value(t, m, analyze.Level), 0.03, "%s, %g to %g Hz", c.filter, c.low, c.top)
		noSINAD(t, m, "white noise")
	}
}

// A weighted tone alone in weighted noise: 1 kHz passes O.41 at +1.0 dB.
func TestWeightedSINAD(t *testing.T) {
	s := silence(16000, 5).tone(0.4, 1000, 0)
	in := noise(seeded(31), 16000, len(s.x), between(300, 3400))
	s.add(times(0.04, in))
	for filter, w := range map[string]struct{ tone, noise float64 }{
		job.Psophometric: {1.0, -2.51}, job.CMessage: {0, -1.91}, job.SpeechBand: {0, 0},
	} {
		m := s.measure(t, job.Reading{Filter: job.Filter{Name: filter}})
		tone, nd := 0.08*math.Pow(10, w.tone/10), power(in)*math.Pow(10, w.noise/10)
		assert.InDelta(t, db((tone+nd)/nd), value(t, m, analyze.SINAD), 0.05, filter)
		assert.InDelta(t, 20*math.Log10(0.4), value(t, m, analyze.ToneLevel), 0.03, "levels are unfiltered")
	}
}

// Hum, a sub-audible tone, an offset or a line above the band, as strong as the
// tone or stronger: the SINAD through the band stays.
func TestStrongLinesOutsideTheBandChangeNothing(t *testing.T) {
	for _, rate := range rates {
		make := func() signal {
			s := silence(rate, 1.1).tone(0.1, 1000.3, 1)
			return s.add(times(0.1/math.Sqrt2*math.Pow(10, -20./20), noise(seeded(77), rate, len(s.x), between(300, 3400))))
		}
		want := value(t, make().measure(t, job.Reading{}), analyze.SINAD)
		for name, s := range map[string]signal{
			"50 Hz":               make().tone(0.8, 50.013, 0.3),
			"60 Hz and 180 Hz":    make().tone(0.5, 59.97, 0).tone(0.3, 3*59.97, 0),
			"100 Hz family":       make().tone(0.5, 100.05, 0).tone(0.2, 200.1, 2),
			"sub-audible 67.0 Hz": make().tone(0.5, 67, 0),
			"sub-audible 250.3":   make().tone(0.3, 250.3, 0),
			"hum and sub-audible": make().tone(0.3, 50.1, 0).tone(0.2, 150.3, 1).tone(0.2, 88.5, 2),
			"offset":              make().offset(0.3),
			"3.7 kHz":             make().tone(0.3, 3712.3, 0),
		} {
			m := s.measure(t, job.Reading{})
			assert.InDelta(t, want, value(t, m, analyze.SINAD), 0.01, "%d Hz: %s", rate, name)
			assert.InDelta(t, -20, value(t, m, analyze.ToneLevel), 0.02, "%d Hz: %s", rate, name)
		}
	}
}

// Hum as it was made: the family, its frequency, line by line and in all. What
// lies within the speech band (300 Hz and up) counts in N+D and not in the noise.
func TestHumLines(t *testing.T) {
	for _, mains := range []float64{50, 60} {
		for _, drift := range []float64{-0.002, 0, 0.001} {
			f := mains * (1 + drift)
			s := silence(8000, 3).tone(0.5, 1003, 0)
			in := noise(seeded(uint64(mains)), 8000, len(s.x), between(20, 3900))
			s.add(times(0.0005, in))
			a := map[int]float64{1: 0.02, 2: 0.03, 3: 0.01, 4: 0.006, 7: 0.005, 8: 0.004}
			all, inBand := 0.0, 0.0
			for order, v := range a {
				s.tone(v, float64(order)*f, float64(order))
				all += v * v / 2
				if float64(order)*f >= 300 {
					inBand += v * v / 2
				}
			}
			m := s.measure(t, job.Reading{})
			name := fmt.Sprintf("%g Hz", f)
			assert.InDelta(t, f, value(t, m, analyze.HumFrequency), 0.005, name)
			assert.InDelta(t, db(2*all), value(t, m, analyze.HumLevel), 0.05, name)
			require.Len(t, m.HumLines, len(a), name)
			for _, l := range m.HumLines {
				order := int(math.Round(l.FrequencyHz / mains))
				assert.InDelta(t, float64(order)*f, l.FrequencyHz, 0.05, name)
				assert.InDelta(t, 20*math.Log10(a[order]), l.LevelDBFS, 0.1, "%s, line %d", name, order)
			}
			share := 0.25e-6 * 3100 / 3880
			assert.InDelta(t, db(2*share), value(t, m, analyze.NoiseLevel), 0.06, name)
			assert.InDelta(t, db((0.125+inBand+share)/(inBand+share)), value(t, m, analyze.SINAD), 0.02, name)
			assert.InDelta(t, db(0.125/share), value(t, m, analyze.SNR), 0.06, name)
		}
	}
}

// No mains line in the sound, none in the readings.
func TestNoHumIsNoHum(t *testing.T) {
	found := 0
	for seed := range uint64(40) {
		s := silence(8000, 2).tone(0.3, 1007.3, 0)
		s.add(times(0.03, noise(seeded(seed), 8000, len(s.x), between(20, 3900))))
		if m := s.measure(t, job.Reading{}); m.Get(analyze.HumLevel).OK() {
			found++
			t.Logf("seed %d: %v", seed, m.HumLines)
		}
	}
	assert.Zero(t, found)
}
