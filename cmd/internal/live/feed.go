package live

import (
	"fmt"
	"io"
	"math"
	"sync"
	"time"

	"hisspoint/capture/soundcard"
	"hisspoint/reports"
)

// Feed listens to an input all the time, so that nothing is lost while a person
// thinks, and records when it is told to.
type Feed struct {
	in    soundcard.Input
	watch *Watch

	mutex  sync.Mutex
	latest reports.Watch
	has    bool
	take   *Take
	left   int64 // frames still to record; below 0: until Stop
	done   chan error
	err    error
	gone   chan struct{}
	trail  []float64 // levels of the last readings, for Settled
}

// NewFeed begins to listen.
func NewFeed(in soundcard.Input, watch *Watch) *Feed {
	f := &Feed{in: in, watch: watch, gone: make(chan struct{})}
	go f.run()
	return f
}

func (f *Feed) run() {
	defer close(f.gone)
	defer func() { // so that the terminal is given back before it is said
		if p := recover(); p != nil {
			f.fail(fmt.Errorf("a fault in hisspoint itself: %v", p))
		}
	}()
	block := make([]float64, max(1, f.in.Format().Rate/perSecond)*f.in.Format().Channels)
	for {
		n, err := f.in.Read(block)
		if err == nil {
			f.watch.waited(n == len(block))
			err = f.hear(block[:n])
		}
		if err != nil {
			if err == io.EOF {
				err = fmt.Errorf("%s: the sound has ended", f.in.Device().Name)
			}
			f.fail(err)
			return
		}
	}
}

// hear records a block if a recording runs, and looks at it.
func (f *Feed) hear(block []float64) error {
	f.record(block)
	reading, due, err := f.watch.Hear(block)
	if err != nil || !due {
		return err
	}
	f.mutex.Lock()
	defer f.mutex.Unlock()
	f.latest, f.has = reading, true
	level := reading.Measured.Get("level")
	if !level.OK() {
		level.Value = -200
	}
	f.trail = append(f.trail, level.Value)
	if len(f.trail) > settleReadings {
		f.trail = f.trail[1:]
	}
	return nil
}

func (f *Feed) record(block []float64) {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	if f.take == nil {
		return
	}
	channels := int64(f.in.Format().Channels)
	if f.left >= 0 {
		block = block[:min(int64(len(block)), f.left*channels)]
	}
	err := f.take.Add(block)
	if f.left >= 0 {
		f.left -= int64(len(block)) / channels
	}
	if err != nil || f.left == 0 {
		f.take = nil
		f.done <- err
	}
}

func (f *Feed) fail(err error) {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	f.err = err
	if f.take != nil {
		f.take = nil
		f.done <- err
	}
}

// Record records so many frames, from now on; fewer than 0 until Stop. The channel
// gets one value when it is done.
func (f *Feed) Record(t *Take, frames int64) <-chan error {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	done := make(chan error, 1)
	if f.err != nil {
		done <- f.err
		return done
	}
	f.take, f.left, f.done = t, frames, done
	return done
}

// Stop ends a recording.
func (f *Feed) Stop() {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	if f.take != nil {
		f.take = nil
		f.done <- nil
	}
}

// Latest is the newest live reading.
func (f *Feed) Latest() (reports.Watch, bool) {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	return f.latest, f.has
}

// Gone is closed when the input is; Err then says why.
func (f *Feed) Gone() <-chan struct{} { return f.gone }

// Err says why the input is gone.
func (f *Feed) Err() error {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	return f.err
}

// A sound has settled when its level kept within so many dB over so many readings.
const (
	settleReadings = 15
	settleDB       = 0.7
	changedDB      = 0.5
)

// Settled tells whether the level stands still, at another place than before.
func (f *Feed) Settled(before float64) bool {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	if len(f.trail) < settleReadings {
		return false
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range f.trail {
		low, high = math.Min(low, v), math.Max(high, v)
	}
	return high-low <= settleDB && math.Abs((low+high)/2-before) > changedDB
}

// Level is the newest level in dBFS, for Settled.
func (f *Feed) Level() float64 {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	if len(f.trail) == 0 {
		return math.Inf(-1)
	}
	return f.trail[len(f.trail)-1]
}

// After gives one value so many seconds of sound from now, or when the recording
// has ended before.
func (f *Feed) After(seconds float64, done <-chan error) <-chan error {
	out := make(chan error, 1)
	until := f.watch.Heard() + seconds
	go func() {
		tick := time.NewTicker(20 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case err := <-done:
				out <- err
				return
			case <-f.gone:
				out <- f.Err()
				return
			case <-tick.C:
				if f.watch.Heard() >= until {
					out <- nil
					return
				}
			}
		}
	}()
	return out
}
