// Package watch measures the newest seconds of a sound that goes on, again and again:
// readings, the needle of an aim with its best so far, and whether the signal that is
// played is in what comes in. It must not know jobs, screens or clocks.
package watch

import (
	"fmt"
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// Seconds is how much of a sound that goes on Live remembers.
const Seconds = 5

// Silent is the level in dBFS below which a live input counts as without sound:
// two steps of 16 bits.
const Silent = -84

// Live measures the newest part of a sound that goes on. Its readings are those
// of Measure on that part, taken whole: nothing is left out because it moves,
// since moving is what a person at a core is looking at.
type Live struct {
	name     string
	rate     int
	channels int
	how      job.Reading
	seconds  float64     // length of the part that is measured
	ring     [][]float64 // newest samples, a slice a channel, oldest first
	frames   int64       // heard so far
	channel  int         // from 0
	chosen   bool        // by hand, or by what was heard
	slow     []capture.Warning
	settled  *capture.Warning // that something worked on the sound as it began
	slowAt   int64
}

// NewLive begins with nothing heard. channel counts from 1; 0 takes the one
// that holds a tone. name is what warnings and errors call the input.
func NewLive(name string, rate, channels, channel int, how job.Reading) (*Live, error) {
	if _, err := reading.Weighting(how.Filter, float64(rate)); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	switch {
	case how.Tone() > 0.45*float64(rate):
		return nil, fmt.Errorf("%s: a tone of %g Hz is too high for its sample rate of %d Hz", name, how.Tone(), rate)
	case channel < 0 || channel > channels:
		return nil, fmt.Errorf("%s: has no channel %d, only %d", name, channel, channels)
	}
	return &Live{name: name, rate: rate, channels: channels, how: how, seconds: 0.5, channel: channel - 1, chosen: channel > 0, ring: make([][]float64, channels)}, nil
}

// SetSeconds sets the length of the part that is measured, MinSeconds to Seconds.
func (l *Live) SetSeconds(s float64) {
	l.seconds = math.Max(reading.MinSeconds, math.Min(Seconds, s))
}

// Seconds is the length of the part that is measured.
func (l *Live) Seconds() float64 { return l.seconds }

// Heard is how many seconds were heard so far.
func (l *Live) Heard() float64 { return float64(l.frames) / float64(l.rate) }

// Channel is the one that is measured, from 1; 0: not chosen yet.
func (l *Live) Channel() int {
	if !l.chosen {
		return 0
	}
	return l.channel + 1
}

// Ready tells whether enough was heard for a measurement.
func (l *Live) Ready() bool { return len(l.ring[0]) > l.window() }

func (l *Live) window() int { return int(math.Round(l.seconds * float64(l.rate))) }

// Add takes interleaved samples, whole frames.
func (l *Live) Add(block []float64) {
	n := len(block) / l.channels
	keep := Seconds*l.rate + 1
	for c := range l.ring {
		x := l.ring[c]
		if x == nil { // once, so that it never grows
			x = make([]float64, 0, 2*keep)
		}
		if len(x)+n > 2*keep { // move seldom, not at every block
			x = x[:copy(x, x[len(x)-keep:])]
		}
		for i := c; i < n*l.channels; i += l.channels {
			x = append(x, block[i])
		}
		l.ring[c] = x
	}
	l.frames += int64(n)
}

// newest is the last n samples of a channel as a recording. A sample before them
// belongs to the file but not to the part, so that the part is taken as it is.
func (l *Live) newest(channel, n int) (capture.Recording, error) {
	x := l.ring[channel]
	n = min(n, len(x)-1)
	r := capture.FromSamples(l.name, l.rate, x[len(x)-n-1:])
	r.Origin.Channel, r.Origin.Channels = channel+1, l.channels
	return r.Cut(1, int64(n))
}

// Measure reads the newest part. The times in it count from the beginning of the
// sound. Warnings that need longer to show (processed audio) come from the last
// Seconds, looked at every few seconds.
func (l *Live) Measure() (analyze.Measured, error) {
	if !l.Ready() {
		return analyze.Measured{}, fmt.Errorf("%s: not enough was heard yet", l.name)
	}
	why, err := l.choose()
	if err != nil {
		return analyze.Measured{}, err
	}
	r, err := l.newest(l.channel, l.window())
	if err != nil {
		return analyze.Measured{}, err
	}
	if why != "" {
		return analyze.Measured{Origin: r.Origin, Rate: r.Rate, From: l.Heard() - l.seconds, To: l.Heard(), Warnings: []capture.Warning{{Code: capture.ChannelUnstated,
			Says: note.Phrase("two channels differ and each could be the set's (" + why + "); state it with --channel")}}}, nil
	}
	m, err := reading.Measure(r, l.how)
	if err != nil {
		return m, err
	}
	began := l.Heard() - r.ToSeconds()
	m.From, m.To = m.From+began, m.To+began
	m.Warnings = l.warnings(m, began)
	return m, nil
}

// choose settles the channel that is measured, once and for all that follows: the one
// that holds a tone; where none does, the loudest. Where two hold a tone and are not the
// same, none is taken, and why says what each holds.
func (l *Live) choose() (why string, err error) {
	if l.chosen || l.channels == 1 {
		l.channel = max(0, l.channel)
		return "", nil
	}
	rs := make([]capture.Recording, l.channels)
	heard := false
	for c := range rs {
		if rs[c], err = l.newest(c, l.window()); err != nil {
			return "", err
		}
		heard = heard || !l.silent(c)
	}
	if !heard {
		l.channel = 0
		return "", nil
	}
	held, err := reading.Channels(rs, l.how)
	if err != nil {
		return "", err
	}
	i, holds := reading.Pick([][]reading.Held{held}, false)
	l.channel, l.chosen = i, holds == ""
	return holds, nil
}

func (l *Live) silent(channel int) bool {
	x := l.ring[channel]
	x = x[max(0, len(x)-l.window()):]
	return analyze.DBFS(variance(x)) < Silent
}

// variance is the mean square about the mean.
func variance(x []float64) float64 {
	sum, squares := 0.0, 0.0
	for _, v := range x {
		sum += v
		squares += v * v
	}
	n := math.Max(1, float64(len(x)))
	return math.Max(0, squares/n-sum*sum/n/n)
}

// slowEvery is how often the longer look is taken, in seconds, from half of
// Seconds on.
const slowEvery = 4

// slowCodes are the warnings that a long look alone can give, but for
// processed-audio: that is told by how a sound settles as it begins, so only the
// first look can, and not if it goes on moving because a core is turned.
var slowCodes = []capture.Code{capture.DroppedSamples, capture.DCOffset, capture.CoarseSteps, capture.RateSuspect, capture.BytesSwapped}

// warnings are those of the newest part, with those of the longer look.
func (l *Live) warnings(m analyze.Measured, began float64) []capture.Warning {
	var out []capture.Warning
	for _, w := range m.Warnings {
		for i := range w.AtS {
			w.AtS[i] = math.Round(1000*(w.AtS[i]+began)) / 1000
		}
		out = append(out, w)
	}
	if l.silent(l.channel) {
		says := note.Of("no-sound-arrives")
		for c := range l.ring {
			if !l.silent(c) {
				says = note.Of("sound-on-other-channel", l.channel+1, c+1)
			}
		}
		out = append(out, capture.Warning{Code: capture.ChannelSilent, Says: says})
		out = slices.DeleteFunc(out, func(w capture.Warning) bool { return w.Code == capture.ZeroRun || w.Code == capture.CoarseSteps })
		return out
	}
	l.look()
	for _, w := range l.slow {
		if !slices.ContainsFunc(out, func(o capture.Warning) bool { return o.Code == w.Code }) {
			out = append(out, w)
		}
	}
	return out
}

// look takes the longer look if it is time for it.
func (l *Live) look() {
	if l.slowAt > 0 && l.frames-l.slowAt < int64(slowEvery*l.rate) || len(l.ring[l.channel]) <= Seconds*l.rate/2 {
		return
	}
	first := l.slowAt == 0
	l.slowAt = l.frames
	l.slow = nil
	x := l.ring[l.channel]
	r := capture.FromSamples(l.name, l.rate, x[max(0, len(x)-Seconds*l.rate):])
	m, err := reading.Measure(r, l.how)
	if err != nil {
		return
	}
	moved := false
	for _, w := range m.Warnings {
		w.AtS = nil
		switch {
		case w.Code == capture.ProcessedAudio:
			moved = true
			if first {
				l.settled = &w
			}
		case slices.Contains(slowCodes, w.Code):
			l.slow = append(l.slow, w)
		}
	}
	if moved && !first { // a person is turning something: what was heard first may have been that
		l.settled = nil
	}
	if l.settled != nil {
		l.slow = append(l.slow, *l.settled)
	}
}
