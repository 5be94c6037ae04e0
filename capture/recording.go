// Package capture turns files and other sources of sound into recordings:
// one channel of audio, full scale +-1, with its rate and where it came from.
//
// A recording is a re-readable stream of blocks, so an hour costs no more
// memory than a second. What the container of a recording showed (a repaired
// header, missing data) travels with it as warnings; what the sound itself
// shows is found by package analyze.
package capture

import (
	"errors"
	"fmt"
	"hisspoint/capture/note"
	"iter"
)

// Warning is something a person should know before trusting a figure.
// Code is one of the fixed words of the JSON output, Says what reports/sentence makes words of, AtS holds times in seconds from
// the start of the file where the warning has times.
type Warning struct {
	Code Code
	Says note.Note
	AtS  []float64
}

// Origin says where a recording came from.
type Origin struct {
	File      string // as the user gave it, with forward slashes; "-" for standard input
	SHA256    string // of the whole file, lower-case hex; empty for a recording that never was a file
	Container string // "riff", "rf64", "rifx", "flac", "memory"
	Encoding  string // "pcm", "float", "a-law", "mu-law", "flac"
	Bits      int    // valid bits a sample
	Channel   int    // which channel this is, counted from 1
	Channels  int    // how many the file has
	Warnings  []Warning
}

// Source hands out the samples of one file or buffer. Implementations must be
// safe for concurrent calls and must not keep the yielded block.
type Source interface {
	// Blocks yields frames first to first+n of the channel (counted from 1)
	// in order. A block is valid until the next one is asked for. After an
	// error nothing more is yielded.
	Blocks(channel int, first, n int64) iter.Seq2[[]float64, error]
}

// Recording is one channel of recorded audio, full scale +-1. It is a value:
// nothing changes it once made, and cutting it copies no samples.
type Recording struct {
	Origin Origin
	Rate   int   // samples a second
	First  int64 // first frame used, counted in the file
	Count  int64 // frames used
	Total  int64 // frames the file holds
	source Source
}

// ErrRange is returned by Cut for a part that lies outside the recording.
var ErrRange = errors.New("part lies outside the recording")

// New makes a recording of total frames from a source.
func New(o Origin, rate int, total int64, s Source) Recording {
	return Recording{Origin: o, Rate: rate, Count: total, Total: total, source: s}
}

// FromSamples makes a recording of samples that are already in memory, for
// simulations and tests. The slice is not copied and must not be changed.
func FromSamples(name string, rate int, samples []float64) Recording {
	o := Origin{File: name, Container: "memory", Encoding: "float", Bits: 64, Channel: 1, Channels: 1}
	return New(o, rate, int64(len(samples)), memory(samples))
}

// Seconds is the length of the part in use.
func (r Recording) Seconds() float64 { return float64(r.Count) / float64(r.Rate) }

// FromSeconds is where the part in use begins, counted from the start of the file.
func (r Recording) FromSeconds() float64 { return float64(r.First) / float64(r.Rate) }

// ToSeconds is where the part in use ends, counted from the start of the file.
func (r Recording) ToSeconds() float64 { return float64(r.First+r.Count) / float64(r.Rate) }

// Cut returns the part of n frames that begins first frames into r.
func (r Recording) Cut(first, n int64) (Recording, error) {
	if first < 0 || n < 0 || first+n > r.Count {
		return Recording{}, fmt.Errorf("%s: %w: frames %d to %d of %d", r.Origin.File, ErrRange, first, first+n, r.Count)
	}
	r.First += first
	r.Count = n
	return r, nil
}

// Whole returns the recording with nothing cut away.
func (r Recording) Whole() Recording {
	r.First, r.Count = 0, r.Total
	return r
}

// Blocks yields the samples in use in order. A block is valid until the next
// one is asked for and must not be changed.
func (r Recording) Blocks() iter.Seq2[[]float64, error] {
	if r.source == nil {
		return func(func([]float64, error) bool) {}
	}
	return r.source.Blocks(r.Origin.Channel, r.First, r.Count)
}

// Telling returns the recording with tell called, after each block that was read, with
// its number of frames: who waits for a long one wants to know how far it is.
func (r Recording) Telling(tell func(frames int)) Recording {
	if r.source != nil {
		r.source = telling{r.source, tell}
	}
	return r
}

type telling struct {
	Source
	tell func(frames int)
}

func (t telling) Blocks(channel int, first, n int64) iter.Seq2[[]float64, error] {
	return func(yield func([]float64, error) bool) {
		for block, err := range t.Source.Blocks(channel, first, n) {
			if !yield(block, err) {
				return
			}
			t.tell(len(block))
		}
	}
}

type memory []float64

const memoryBlock = 1 << 14

func (m memory) Blocks(_ int, first, n int64) iter.Seq2[[]float64, error] {
	return func(yield func([]float64, error) bool) {
		part := m[first : first+n]
		for len(part) > 0 {
			k := min(len(part), memoryBlock)
			if !yield(part[:k:k], nil) {
				return
			}
			part = part[k:]
		}
	}
}
