package live

import (
	"fmt"
	"io"
	"sync"
	"time"

	"hisspoint/analyze/card"
	"hisspoint/analyze/watch"
	"hisspoint/capture/soundcard"
	"hisspoint/reports"
)

// perSecond is how often a live reading is taken, and how often from parts so
// long that it would cost more than it shows.
const (
	perSecond     = 10
	perSecondLong = 2
	longSeconds   = 1.5
	perSecondLate = 1
)

// lateReads is after how many reads in a row that found a whole block waiting the
// computer counts as too busy: then fewer readings are taken, since a sound that
// nobody fetches is lost.
const lateReads = 10

// Watch measures what an input hears, again and again. Its methods may be called
// while Run runs.
type Watch struct {
	in    soundcard.Input
	mutex sync.Mutex
	live  *watch.Live
	aimer *watch.Aimer
	card  *Qualified // nil: not qualified
	next  int64      // frame at which the next reading is due
	heard int64
	whole int // reads in a row that found a whole block waiting
}

// NewWatch begins to watch an input.
func NewWatch(in soundcard.Input, live *watch.Live, aim string) (*Watch, error) {
	a, err := watch.NewAimer(aim)
	if err != nil {
		return nil, err
	}
	w := &Watch{in: in, live: live, aimer: a}
	if q, ok := qualified(in.Device().ID, in.Format().Rate); ok {
		w.card = &q
	}
	return w, nil
}

// SetSeconds changes the time constant.
func (w *Watch) SetSeconds(s float64) {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	w.live.SetSeconds(s)
	w.next = w.heard
}

// Seconds is the time constant.
func (w *Watch) Seconds() float64 {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	return w.live.Seconds()
}

// Heard is how many seconds were heard so far.
func (w *Watch) Heard() float64 {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	return w.live.Heard()
}

// Aim changes what is aimed for.
func (w *Watch) Aim(aim string) error {
	a, err := watch.NewAimer(aim)
	if err != nil {
		return err
	}
	w.mutex.Lock()
	defer w.mutex.Unlock()
	w.aimer = a
	return nil
}

// Forget begins a new best.
func (w *Watch) Forget() {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	w.aimer.Forget()
}

// Run measures until the input ends (which is no error), has a fault, most
// frames were heard (0: no end) or stop is closed. emit gets every reading; an
// error of its own ends the run.
func (w *Watch) Run(stop <-chan struct{}, most int64, emit func(reports.Watch) error) error {
	f := w.in.Format()
	block := make([]float64, max(1, f.Rate/perSecond)*f.Channels)
	read := false
	for most == 0 || w.heard < most {
		select {
		case <-stop:
			return nil
		default:
		}
		n, err := w.in.Read(block)
		switch {
		case err == io.EOF && !read:
			return fmt.Errorf("%s: %.4g s of sound came and no more, which is too short for a reading of %.4g s", w.in.Device().Name, w.Heard(), w.Seconds())
		case err == io.EOF:
			return nil
		case err != nil:
			return err
		}
		w.waited(n == len(block))
		reading, due, err := w.Hear(block[:n])
		if err != nil {
			return err
		}
		if due {
			read = true
			if err := emit(reading); err != nil {
				return err
			}
		}
	}
	return nil
}

// waited is told of each read whether a whole block was waiting. A pipe has as much
// as it is given, and loses nothing.
func (w *Watch) waited(whole bool) {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	w.whole++
	if !whole || w.in.Device().ID == "-" {
		w.whole = 0
	}
}

// Hear takes samples and gives a reading where one is due.
func (w *Watch) Hear(block []float64) (reports.Watch, bool, error) {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	f := w.in.Format()
	w.live.Add(block)
	w.heard += int64(len(block) / f.Channels)
	if w.heard < w.next || !w.live.Ready() {
		return reports.Watch{}, false, nil
	}
	rate := perSecond
	if w.live.Seconds() > longSeconds {
		rate = perSecondLong
	}
	if w.whole > lateReads {
		rate = perSecondLate
	}
	period := int64(f.Rate / rate)
	w.next = max(w.next, w.heard-period) + period // late by less than one, the next is due in time
	m, err := w.live.Measure()
	if err != nil {
		return reports.Watch{}, false, err
	}
	m.Warnings = append(m.Warnings, card.Limits(w.card, m)...)
	return reports.Watch{At: time.Now(), AtS: w.live.Heard(), Measured: m, Needle: w.aimer.Add(m)}, true, nil
}
