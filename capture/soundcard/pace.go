package soundcard

import (
	"math"
	"time"
)

// pace finds samples that a backend has dropped without a word, by the clock: a
// burst makes up for a stall, but what was dropped stays away. What is compared
// is how far the samples lag behind the clock at their best moment of each window,
// so that neither a busy computer nor the coming in blocks matters.
type pace struct {
	rate    float64
	began   time.Time
	ends    time.Time // of the window that runs
	frames  int64
	best    float64    // least lag of the window, in seconds
	windows [3]float64 // those before, the newest last
	known   int
	settled bool // the beginning is over, in which a backend may hand out what it held
}

const (
	paceWindow = time.Second
	// paceLag is how much must stay away: half of the 10 ms packets in which
	// Windows hands out sound, and 25 times what a clock that is off by 0.02 % loses
	// in a window.
	paceLag = 0.005
)

func newPace(rate int) *pace { return &pace{rate: float64(rate), best: math.Inf(1)} }

// add takes note of frames that came now, and tells whether some before them
// were dropped. It knows two windows after the gap.
func (p *pace) add(now time.Time, frames int) (lost bool) {
	if p.began.IsZero() {
		p.began, p.ends = now, now.Add(paceWindow)
		return false // how long these were under way nobody knows
	}
	if !p.settled {
		if p.settled = !now.Before(p.ends); p.settled {
			p.began, p.ends = now, now.Add(paceWindow)
		}
		return false
	}
	p.frames += int64(frames)
	p.best = math.Min(p.best, now.Sub(p.began).Seconds()-float64(p.frames)/p.rate)
	if now.Before(p.ends) {
		return false
	}
	copy(p.windows[:], p.windows[1:])
	p.windows[2], p.best = p.best, math.Inf(1)
	p.known++
	for p.ends = p.ends.Add(paceWindow); !now.Before(p.ends); {
		p.ends = p.ends.Add(paceWindow)
	}
	// Two windows that both lag tell a gap from a stall at the end of one.
	before := p.windows[0]
	return p.known >= 3 && p.windows[1]-before > paceLag && p.windows[2]-before > paceLag
}
