package simulate

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// strong is a recording of 1 s on a strong signal; bin k is k Hz.
func strong(b Bench) []float64 { return powers(b.Take(-47, 1)) }

func dB(ratio float64) float64 { return 10 * math.Log10(ratio) }

func TestLevelDistortionAndHumAsStated(t *testing.T) {
	for _, depth := range []Depth{DepthCarrier, DepthAudio} {
		set := ideal(20000, 0, 1200, depth)
		set.Audio.SecondPercent, set.Audio.ThirdPercent = 1.2, 0.8
		set.Audio.Hum = Hum{MainsHz: 50, LinesDB: []float64{-50, math.Inf(-1), -45}}
		b := bareBench(set, 1200)
		p := strong(b)
		volts2 := p[1000] * math.Pow(b.Card.FullScaleVolts*math.Sqrt2, 2)
		assert.InDelta(t, 0, dB(volts2), 0.01, "1 V RMS at the speaker")
		assert.InDelta(t, 1.2, 100*math.Sqrt(p[2000]/p[1000]), 0.02)
		assert.InDelta(t, 0.8, 100*math.Sqrt(p[3000]/p[1000]), 0.02)
		assert.InDelta(t, -50, dB(p[50]/p[1000]), 0.1)
		assert.Less(t, dB(p[100]/p[1000]), -70.0)
		assert.InDelta(t, -45, dB(p[150]/p[1000]), 0.1)
	}
}

// De-emphasis against its closed forms: a 400 Hz tone stands 7.96 dB above
// 1 kHz after 6 dB/octave and 7.07 dB after 750 us.
func TestDeemphasis(t *testing.T) {
	for _, depth := range []Depth{DepthCarrier, DepthAudio} {
		for d, want := range map[Deemphasis]float64{DeemphasisSlope: 7.959, Deemphasis750us: 7.073, DeemphasisNone: 0} {
			set := ideal(20000, 0, 1200, depth)
			set.Deemphasis = d
			b := bareBench(set, 1200)
			at1000 := strong(b)[1000]
			b.Generator.ToneHz = 400
			assert.InDelta(t, want, dB(strong(b)[400]/at1000), 0.01, "%v at depth %d", d, depth)
		}
	}
}

func TestSubAudibleToneAndOffset(t *testing.T) {
	for _, depth := range []Depth{DepthCarrier, DepthAudio} {
		b := bareBench(ideal(20000, 0, 1200, depth), 1200)
		b.Generator.SubToneHz, b.Generator.SubDeviationHz, b.Generator.OffsetHz = 100, 120, 600
		p := strong(b)
		assert.InDelta(t, -20, dB(p[100]/p[1000]), 0.02)
		assert.InDelta(t, 600.0/1200*math.Sqrt2, math.Sqrt(p[0]/2)*b.Card.FullScaleVolts*math.Sqrt2, 0.005, "offset shows as DC")
	}
}

// One dial decibel is one decibel of carrier, whatever stands in front.
func TestLevelsInFront(t *testing.T) {
	set := Healthy27MHzFM()
	assert.InDelta(t, -173.975, NoiseDensityDBm, 0.001, "k T0 from k = 1.380649e-23 J/K (SI) and 290 K")
	assert.InDelta(t, 10*math.Log10(1.380649e-23*290*1000), NoiseDensityDBm, 1e-4)
	assert.InDelta(t, -173.975+8+38.751, set.NoiseFloorDBm(), 0.001)
	b := healthyBench(3)
	plain := b.Take(-110, 0.5)
	b.Generator.PadDB, b.Generator.LevelErrorDB = 10, 1.5
	assert.InDeltaSlice(t, plain, b.Take(-101.5, 0.5), 1e-9)
	assert.InDelta(t, -106.99, DBmFromMicrovoltPD(1), 0.001)
	assert.InDelta(t, 0.5, MicrovoltPDFromDBm(-113.01), 0.001)
}

// Segments follow one another at the right times, with the right contents.
func TestOneTakeQuieting(t *testing.T) {
	for _, depth := range []Depth{DepthCarrier, DepthAudio} {
		b := bareBench(ideal(12000, 0, 1200, depth), 1200)
		x := b.Record(Segment{Seconds: 2, Off: true}, Segment{Seconds: 2, LevelDBm: -90, Unmodulated: true},
			Segment{Seconds: 2, LevelDBm: -90}, Segment{Seconds: 2, Off: true})
		require.Len(t, x, 8*b.Card.Rate)
		part := func(i int) (tone, rest float64) {
			at := 2 * i * b.Card.Rate
			for k, p := range powers(x[at+b.Card.Rate/2 : at+3*b.Card.Rate/2]) {
				if k == 1000 {
					tone = p
				} else if k >= 300 && k <= 3000 {
					rest += p
				}
			}
			return tone, rest
		}
		_, hiss := part(0)
		_, quiet := part(1)
		tone, modulated := part(2)
		_, after := part(3)
		assert.InDelta(t, 0, dB(after/hiss), 0.6)
		assert.Greater(t, dB(hiss/quiet), 30.0)
		assert.InDelta(t, 0, dB(modulated/quiet), 0.6)
		assert.Greater(t, dB(tone/modulated), 20.0)
	}
}

func TestSquelch(t *testing.T) {
	set := Healthy27MHzFM()
	set.Audio.Hum = Hum{}
	set.Squelch = Squelch{On: true, OpenDBm: -118, CloseDBm: -121, AttackS: 0.05, TailS: 0.2}
	b := Bench{Generator: StandardGenerator(), Set: set, Card: SoundCard{Rate: 24000, FullScaleVolts: 8}}
	segments := []Segment{{Seconds: 1, Off: true}, {Seconds: 1, LevelDBm: -110}, {Seconds: 1, LevelDBm: -120}, {Seconds: 1, LevelDBm: -122}}
	want := []SquelchEvent{{1.05, true, 1}, {3.2, false, 3}}
	events := b.SquelchEvents(segments...)
	require.Len(t, events, 2)
	for i, e := range events {
		assert.InDelta(t, want[i].AtS, e.AtS, 1e-3)
		assert.Equal(t, want[i].Open, e.Open)
		assert.InDelta(t, want[i].CauseS, e.CauseS, 1e-9)
	}
	x := b.Record(segments...)
	rms := func(from, to float64) float64 {
		sum, part := 0.0, x[int(from*24000):int(to*24000)]
		for _, v := range part {
			sum += v * v / float64(len(part))
		}
		return math.Sqrt(sum)
	}
	assert.Less(t, rms(0, 1.048), 1e-6)
	assert.Greater(t, rms(1.052, 1.1), 0.05)
	assert.Greater(t, rms(3.1, 3.199), 0.05)
	assert.Less(t, rms(3.203, 4), 1e-6)
}

func TestDescribeIsPlain(t *testing.T) {
	words := healthyBench(9).Describe()
	for _, w := range []string{"simulated, not recorded", "invented", "seed 9"} {
		assert.True(t, strings.Contains(words, w), words)
	}
}
