package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"hisspoint/cmd/internal/run"
)

// When progress is shown: not for what is soon done, and no more often than can be read.
const (
	progressAfter = 2 * time.Second
	progressEvery = 100 * time.Millisecond
)

// progressLine is a line on a terminal that says how far work is, and is wiped out before
// anything else is written there.
type progressLine struct {
	to     io.Writer
	now    func() time.Time
	mutex  sync.Mutex
	begun  time.Time
	last   time.Time
	stands bool
}

func newProgressLine(to io.Writer, now func() time.Time) *progressLine {
	return &progressLine{to: to, now: now, begun: now()}
}

// tell shows so many of total things; of one thing alone, its share.
func (p *progressLine) tell(done float64, total int, things string) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	at := p.now()
	switch {
	case done >= float64(total):
		p.wipe()
		return
	case at.Sub(p.begun) < progressAfter || at.Sub(p.last) < progressEvery:
		return
	}
	p.last, p.stands = at, true
	text := fmt.Sprintf("%d of %d %s", int(done+1e-9), total, things)
	if total == 1 {
		text = fmt.Sprintf("%.0f %% read", 100*done)
	}
	fmt.Fprint(p.to, "\r"+text+"\x1b[K")
}

// clear wipes the line out.
func (p *progressLine) clear() {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	p.wipe()
}

func (p *progressLine) wipe() {
	if p.stands {
		p.stands = false
		fmt.Fprint(p.to, "\r\x1b[K")
	}
}

// progress tells how far a long run is, on a terminal only.
func (a *app) progress() run.Progress {
	if a.quiet || !screenOf(a.errs, os.Getenv).terminal {
		return nil
	}
	if a.line == nil {
		a.line = newProgressLine(a.errs, time.Now)
	}
	return a.line.tell
}
