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
	broken bool    // in double beeps: the best is past

	format Format
	phase  float64
	hz     float64
	level  float64
	at     int64
}

// Past the best the tone comes in pairs of short beeps, two pairs a second.
const (
	beepLevel = 0.1
	beepFirst = 220.0 // Hz from which the pitch begins
	pairs     = 2     // a second
	beepPart  = 0.15  // of a pair's time for a beep, and for the pause behind it
)

// NewBeep makes a tone that is silent until Set.
func NewBeep(f Format) *Beep { return &Beep{format: f, hz: beepFirst} }

// Set gives the pitch; 0 is silence. past breaks the tone into double beeps.
func (b *Beep) Set(hz float64, past bool) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	b.pitch, b.broken = hz, past
}

// pause tells whether the tone is between two beeps at a time in seconds.
func pause(at float64) bool {
	_, of := math.Modf(pairs * at)
	return of >= beepPart && of < 2*beepPart || of >= 3*beepPart
}

// Next fills a block, as Card.Play asks for it.
func (b *Beep) Next(block []float64) int {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	n, rate := b.format.Channels, float64(b.format.Rate)
	slew := 1 - math.Exp(-1/(0.008*rate)) // 8 ms: no click at a change
	for i := 0; i+n <= len(block); i += n {
		level := beepLevel
		if b.pitch == 0 || b.broken && pause(float64(b.at)/rate) {
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
