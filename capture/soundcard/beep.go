package soundcard

import (
	"math"
	"sync"
)

// Beep is a soft tone whose pitch follows what a person aims for, since the eyes
// are on the core.
type Beep struct {
	mutex  sync.Mutex
	pitch  float64 // Hz that is wanted; 0: silence
	broken bool    // in pulses: the best is past

	format Format
	phase  float64
	hz     float64
	level  float64
	at     int64
}

// The tone rises two octaves towards the best.
const (
	beepLow    = 330.0
	beepHigh   = 1320.0
	beepLevel  = 0.1
	beepPulses = 7 // a second, past the best
)

// NewBeep makes a tone that is silent until Set.
func NewBeep(f Format) *Beep { return &Beep{format: f, hz: beepLow} }

// Set gives the pitch: share is 0 to 1, at the best so far. past breaks the tone
// into pulses. Without a reading it is silent.
func (b *Beep) Set(share float64, past, reading bool) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	b.broken = past
	b.pitch = 0
	if reading {
		b.pitch = beepLow * math.Pow(beepHigh/beepLow, math.Max(0, math.Min(1, share)))
	}
}

// Next fills a block, as Card.Play asks for it.
func (b *Beep) Next(block []float64) int {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	n, rate := b.format.Channels, float64(b.format.Rate)
	slew := 1 - math.Exp(-1/(0.008*rate)) // 8 ms: no click at a change
	for i := 0; i+n <= len(block); i += n {
		level := beepLevel
		if b.pitch == 0 || b.broken && int64(float64(2*beepPulses*b.at)/rate)%2 == 1 {
			level = 0
		}
		if b.pitch > 0 {
			b.hz += (b.pitch - b.hz) * slew
		}
		b.level += (level - b.level) * slew
		b.phase = math.Mod(b.phase+b.hz/rate, 1)
		b.at++
		for c := range n {
			block[i+c] = b.level * math.Sin(2*math.Pi*b.phase)
		}
	}
	return len(block)
}
