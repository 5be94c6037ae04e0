package mains

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A standard sub-audible tone by itself is no hum, at any length from which lines can
// be told; one of 100.0 Hz may be either, which is said.
func TestStandardToneIsNoHum(t *testing.T) {
	r := rand.New(rand.NewPCG(4700, 1))
	for i, hz := range toned {
		seconds := []float64{1, 2, 5}[i%3]
		l := silence(seconds).white(r, noiseAt(20)).line(hz, -30, 1).read(0)
		if hz == 100 {
			require.True(t, l.Found)
			assert.InDelta(t, 100, l.Twin.Hz, 0.1)
			assert.True(t, l.TwinIn)
			continue
		}
		assert.False(t, l.Found, "%g Hz, %g s", hz, seconds)
		assert.Less(t, db(l.High), -40.0, "%g Hz, %g s: at most", hz, seconds)
	}
}

// A standard tone beside hum is not part of it, though it stands 20 dB above it and,
// as 250.3 and 179.9 Hz do, near a multiple.
func TestStandardToneBesideHum(t *testing.T) {
	r := rand.New(rand.NewPCG(4800, 1))
	for i, hz := range toned {
		mains := []float64{50, 49.97, 60.02}[i%3]
		d := drawn{hz: mains, orders: map[int]float64{1: -50.5, 2: -52, 3: -56.5, 5: -60}}
		l := silence(2).white(r, noiseAt(30)).family(r, d).line(hz, -30, 1).read(0)
		require.True(t, l.Found, "%g Hz beside %g", hz, mains)
		truth := d.power()
		for k := range d.orders { // an order on which the tone stands is not known
			if math.Abs(float64(k)*mains-hz) < 1.5/2 {
				truth -= power(d.orders[k])
			}
		}
		if l.TwinIn {
			require.Equal(t, 100.0, hz)
			continue
		}
		assert.InDelta(t, db(truth), db(l.Value), 0.5, "%g Hz beside %g", hz, mains)
		assert.InDelta(t, mains, l.Hz, 0.05, "%g Hz beside %g", hz, mains)
	}
}

// Mains of inverters and generators stand anywhere from 45 to 65 Hz.
func TestMainsOfInverters(t *testing.T) {
	r := rand.New(rand.NewPCG(4900, 1))
	for hz := 46.1; hz < 65; hz += 0.7 {
		d := drawn{hz: hz, orders: map[int]float64{1: -50, 2: -56, 3: -54}}
		l := silence(2).white(r, noiseAt(20)).family(r, d).read(0)
		require.True(t, l.Found, "%g Hz", hz)
		assert.InDelta(t, hz, l.Hz, 0.02)
		assert.InDelta(t, db(d.power()), db(l.Value), 1, "%g Hz", hz)
	}
}

// Sounds that come and go, with lines on mains multiples or near them, are no hum: a
// man's voice (a pulse train of 110 Hz that glides, in syllables) and selective-call
// tones one after the other.
func TestWhatComesAndGoesIsNoHum(t *testing.T) {
	r := rand.New(rand.NewPCG(5000, 1))
	for i := range 12 {
		voice, call := silence(2), silence(2)
		pitch, at := 98+24*r.Float64(), 0.0
		tones := []float64{100 + 50*float64(r.IntN(9)), 300 + 300*r.Float64(), 300 + 300*r.Float64(), 600}
		for j := range voice {
			sec := float64(j) / testRate
			at += 2 * math.Pi * (pitch + 6*math.Sin(2*math.Pi*sec*0.7)) / testRate
			loud := math.Max(0, math.Sin(2*math.Pi*2.3*sec))
			for k := 1.0; k*pitch < 700; k++ {
				voice[j] += 0.05 * loud * math.Cos(k*at) / k
			}
			call[j] += 0.1 * math.Sin(2*math.Pi*tones[min(3, int(sec*2))]*sec)
		}
		for name, s := range map[string]sound{"voice": voice, "call": call} {
			l := s.white(r, noiseAt(30)).read(0)
			assert.False(t, l.Found, "%s %d: %.1f dBFS at %.2f Hz, %v", name, i, db(l.Value), l.Hz, tones)
		}
	}
}

// Buzz is measured above the hum, at the same fundamental; without it there is none.
func TestBuzz(t *testing.T) {
	r := rand.New(rand.NewPCG(5100, 1))
	held, false_ := 0, 0
	const runs = 40
	for i := range runs {
		d := drawn{hz: 50 + 0.1*r.Float64(), orders: map[int]float64{1: -50, 2: -52, 4: -58}}
		s := silence(1+float64(i%3)).white(r, noiseAt(30)).family(r, d)
		truth := 0.0
		if i%2 == 0 {
			for k := 13; k <= 18; k++ {
				s.line(float64(k)*d.hz, -62, 6*r.Float64())
				truth += power(-62)
			}
		}
		in := s.input(0)
		f := in.Find()
		require.True(t, f.Found)
		os := in.Above(f, 920)
		l := Join([]Family{{Found: Stand(os), Hz: f.Hz, Orders: os}}, []float64{1})
		switch {
		case i%2 == 1 && l.Found:
			false_++
		case i%2 == 0 && l.Found && l.Low <= truth && truth <= l.High:
			held++
		}
	}
	assert.GreaterOrEqual(t, held, 17, "of 20")
	assert.LessOrEqual(t, false_, 0)
}

// Nothing breaks where there is nothing, or almost: silence, a click, 0.1 s, digital lines.
func TestCorners(t *testing.T) {
	click := silence(1)
	click[700] = 1
	for name, s := range map[string]sound{"silence": silence(1), "click": click, "short": silence(0.1).line(50, -20, 0), "none": silence(0.01),
		"digital": silence(2).line(50, -20, 0).line(100, -40, 1)} {
		l := s.read(0)
		for _, x := range []float64{l.Hz, l.Value, l.Low, l.High} {
			assert.False(t, math.IsNaN(x) || math.IsInf(x, 0) || x < 0, "%s: %g", name, x)
		}
	}
	l := silence(2).line(50, -20, 0).line(100, -40, 1).read(0)
	require.True(t, l.Found)
	assert.InDelta(t, db(power(-20)+power(-40)), db(l.Value), 1e-3)
}
