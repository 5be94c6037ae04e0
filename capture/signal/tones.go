package signal

import (
	"fmt"
	"math"
)

// ramp is how long a tone takes to come up or go down, in seconds: a sudden edge
// would be heard as a click of all frequencies.
const ramp = 0.01

// oscillator is a sine whose phase runs on.
type oscillator struct {
	rate  float64
	phase float64 // cycles
}

// add fills x with a sine of a frequency, shaped by the envelope; the phase goes on
// from what was made before.
func (o *oscillator) add(x []float64, hz float64, envelope func(i int) float64) {
	for i := range x {
		x[i] = envelope(i) * math.Sin(2*math.Pi*o.phase)
		o.phase += hz / o.rate
		o.phase -= math.Floor(o.phase)
	}
}

// keyed is an envelope of n samples that comes up and goes down over edge samples.
func keyed(a float64, n, edge int) func(i int) float64 {
	return func(i int) float64 {
		if near := min(i, n-1-i); near < edge {
			s := math.Sin(math.Pi / 2 * (float64(near) + 0.5) / float64(edge))
			return a * s * s
		}
		return a
	}
}

// Tone is a single tone.
func Tone(rate int, hz, level, seconds float64) Signal {
	s := Signal{Name: "tone-" + frequencyName(hz), Kind: KindTone, Rate: rate, LevelDBFS: level,
		About: "one tone: modulation, distortion, gain"}
	return s.steps([]Part{{To: seconds, Hz: hz, LevelDBFS: level}})
}

// Stepped is one tone after the other at one level, and the first one near 1 kHz
// once more at the end, so that a gain that was moved meanwhile shows.
func Stepped(rate int, tones []float64, level, seconds float64) Signal {
	s := Signal{Kind: KindStepped, Rate: rate, LevelDBFS: level,
		About: "one tone after the other: the response, and 1 kHz once more to see that nothing moved"}
	var parts []Part
	add := func(hz float64) {
		from := float64(len(parts)) * seconds
		parts = append(parts, Part{From: from, To: from + seconds, Hz: hz, LevelDBFS: level})
	}
	for _, hz := range tones {
		add(hz)
	}
	for _, hz := range tones {
		if math.Abs(hz-1000) < 10 {
			add(hz)
			break
		}
	}
	s.Name = fmt.Sprintf("stepped-%d-tones", len(tones))
	return s.steps(parts)
}

// LevelSteps is one tone, from bottom to top dBFS in steps of so many dB.
func LevelSteps(rate int, hz, bottom, top, step, seconds float64) Signal {
	s := Signal{Name: "levels-" + frequencyName(hz), Kind: KindLevels, Rate: rate, LevelDBFS: top,
		About: "one tone, louder step by step: microphone gain and limiter"}
	var parts []Part
	n := int(math.Floor((top-bottom)/step + 1e-9))
	for i := n; i >= 0; i-- {
		from := float64(len(parts)) * seconds
		parts = append(parts, Part{From: from, To: from + seconds, Hz: hz, LevelDBFS: top - float64(i)*step})
	}
	return s.steps(parts)
}

// Attack is one tone that jumps by 20 dB and back several times, at once and
// with its phase running on: what a limiter lets through before it holds.
func Attack(rate int, hz, top, seconds float64, times int) Signal {
	s := Signal{Name: "attack-" + frequencyName(hz), Kind: KindLevels, Rate: rate, LevelDBFS: top,
		About: "one tone that jumps up by 20 dB: overshoot before the limiter holds"}
	x := make([]float64, 0, samplesIn(2*seconds, rate)*times)
	o := oscillator{rate: float64(rate)}
	for i := range 2 * times {
		level := top - 20*float64((i+1)%2)
		part := make([]float64, samplesIn(seconds, rate))
		o.add(part, hz, func(int) float64 { return amplitude(level) })
		from := float64(len(x)) / float64(rate)
		s.Parts = append(s.Parts, Part{From: from, To: from + seconds, Hz: hz, LevelDBFS: level})
		x = append(x, part...)
	}
	s.Samples, s.PeakDBFS = x, peakDBFS(x)
	return s
}

// steps plays the parts one after the other.
func (s Signal) steps(parts []Part) Signal {
	o := oscillator{rate: float64(s.Rate)}
	for i := range parts {
		p := &parts[i]
		n := samplesIn(p.To-p.From, s.Rate)
		p.From = float64(len(s.Samples)) / float64(s.Rate)
		x := make([]float64, n)
		o.phase = 0
		o.add(x, p.Hz, keyed(amplitude(p.LevelDBFS), n, min(n/4, samplesIn(ramp, s.Rate))))
		s.Samples = append(s.Samples, x...)
		p.To = float64(len(s.Samples)) / float64(s.Rate)
	}
	s.Parts, s.PeakDBFS = parts, peakDBFS(s.Samples)
	return s
}

// TwoTone is two tones of equal level; level is that of both together.
func TwoTone(rate int, lowHz, highHz, level, seconds float64) Signal {
	s := Signal{Name: "two-tone", Kind: KindTwoTone, Rate: rate, TonesHz: []float64{lowHz, highHz},
		About: "two tones of equal level: intermodulation"}
	n := samplesIn(seconds, rate)
	x, y := make([]float64, n), make([]float64, n)
	a, b := oscillator{rate: float64(rate)}, oscillator{rate: float64(rate)}
	a.add(x, lowHz, keyed(1, n, samplesIn(ramp, rate)))
	b.add(y, highHz, keyed(1, n, samplesIn(ramp, rate)))
	for i := range x {
		x[i] += y[i]
	}
	return s.finish(x, level)
}
