// Package signal makes test signals: tones, stepped tones, level steps, an
// exponential sweep, a multitone and noise shaped as speech. They are the same
// every time they are made. What reads recordings of them knows them from here.
//
// Levels are RMS in dBFS, where 0 dBFS is the RMS of a sine whose peaks touch
// full scale (AES17).
package signal

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// Kinds of test signals.
const (
	KindTone      = "tone"
	KindStepped   = "stepped"     // one tone after the other
	KindLevels    = "level-steps" // one tone, one level after the other
	KindSweep     = "sweep"
	KindMultitone = "multitone"
	KindTwoTone   = "two-tone"
	KindNoise     = "speech-noise"
)

// Part is a stretch of a signal in which frequency and level stay as they are.
type Part struct {
	From, To  float64 // seconds
	Hz        float64
	LevelDBFS float64
}

// Signal is one test signal with what is to be known of it.
type Signal struct {
	Name      string // of its file, without the ending
	Kind      string
	About     string // what it is for, in a sentence
	Rate      int
	LevelDBFS float64 // RMS; of level steps the loudest, of a sweep that between its fades
	PeakDBFS  float64 // the largest sample
	Parts     []Part  // of stepped tones and level steps
	Sweep     *Sweep
	StartS    float64   // where the sweep begins
	TonesHz   []float64 // of a multitone or two tones, all at one level
	Lowered   float64   // dB by which the level asked for was lowered so that peaks fit; 0: not
	Samples   []float64 // full scale +-1
}

// Seconds is how long the signal lasts.
func (s Signal) Seconds() float64 { return float64(len(s.Samples)) / float64(s.Rate) }

// CrestDB is how far the peak stands above the RMS level, in dB: 3.01 for a sine.
func (s Signal) CrestDB() float64 { return s.PeakDBFS - s.LevelDBFS + 20*math.Log10(math.Sqrt2) }

// topDBFS is the highest peak that a signal may have: a sample that rounds to
// full scale would clip.
const topDBFS = -0.1

// amplitude is the peak of a sine at a level.
func amplitude(dBFS float64) float64 { return math.Pow(10, dBFS/20) }

// peakDBFS is the level of the largest sample, on the scale of a sine's level.
func peakDBFS(x []float64) float64 {
	top := 0.0
	for _, v := range x {
		top = math.Max(top, math.Abs(v))
	}
	return 20 * math.Log10(math.Max(1e-12, top))
}

// rmsDBFS is the RMS level.
func rmsDBFS(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return 10 * math.Log10(math.Max(1e-24, 2*sum/float64(max(1, len(x)))))
}

// finish brings samples to a level, or as near below it as their peaks allow,
// and completes the signal.
func (s Signal) finish(x []float64, level float64) Signal {
	is := rmsDBFS(x)
	s.LevelDBFS = math.Min(level, topDBFS-peakDBFS(x)+is)
	if level-s.LevelDBFS > 0.005 {
		s.Lowered = level - s.LevelDBFS
	} else {
		s.LevelDBFS = level
	}
	k := amplitude(s.LevelDBFS - is)
	for i := range x {
		x[i] *= k
	}
	s.Samples, s.PeakDBFS = x, peakDBFS(x)
	return s
}

// frequencyName is a frequency as file names have it: "1000hz".
func frequencyName(hz float64) string { return fmt.Sprintf("%ghz", math.Round(hz*100)/100) }

func samplesIn(seconds float64, rate int) int { return int(math.Round(seconds * float64(rate))) }

// Dithered is the signal with triangular dither of +-1 step of so many bits, the
// same every time: without it a quiet tone of 16 bits has harmonics of its own
// (Lipshitz, Wannamaker, Vanderkooy, J. Audio Eng. Soc. 40, 355, 1992).
func (s Signal) Dithered(bits int) []float64 {
	step := math.Exp2(float64(1 - bits))
	r := rand.New(rand.NewPCG(ditherSeed, uint64(len(s.Samples))))
	out := make([]float64, len(s.Samples))
	for i, v := range s.Samples {
		out[i] = v + step*(r.Float64()-r.Float64())
	}
	return out
}

const ditherSeed = 0xd17
