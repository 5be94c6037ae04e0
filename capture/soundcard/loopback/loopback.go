// Package loopback is the sound that a card is qualified with, played from its
// output into its input: what is in it and when.
package loopback

import "math"

// Part is a stretch of the program.
type Part struct {
	Name     string  // one of the names below
	Hz       float64 // 0: silence
	DBFS     float64 // level of the tone
	From, To float64 // seconds from the beginning of the first tone
}

// Names of parts.
const (
	Loud     = "loud"     // 1 kHz, for distortion and level
	Silence  = "silence"  // for noise and hum
	Soft     = "soft"     // 1 kHz, 20 dB weaker: a gain control shows
	Again    = "again"    // 1 kHz, loud again
	Response = "response" // a tone of the response
)

// Levels and lengths of the program.
const (
	LoudDBFS     = -6.0
	SoftDBFS     = -26.0
	ResponseDBFS = -12.0
	Lead         = 0.7  // s of silence before the first tone
	Tail         = 0.5  // s of silence behind the last
	fade         = 0.01 // s
)

// ResponseHz are the tones of the response, octaves and what matters to speech.
var ResponseHz = []float64{100, 200, 300, 500, 1000, 2000, 3000, 3400, 5000, 8000}

// Parts are the stretches in their order.
func Parts() []Part {
	parts := []Part{{Loud, 1000, LoudDBFS, 0, 2.5}, {Silence, 0, 0, 2.5, 5}, {Soft, 1000, SoftDBFS, 5, 7}, {Again, 1000, LoudDBFS, 7, 8}}
	at := 8.0
	for _, hz := range ResponseHz {
		parts = append(parts, Part{Response, hz, ResponseDBFS, at, at + 0.5})
		at += 0.5
	}
	return parts
}

// Seconds is how long the program lasts, with the silence around it.
func Seconds() float64 {
	parts := Parts()
	return Lead + parts[len(parts)-1].To + Tail
}

// Samples is the program, one channel. Tones above 0.45 of the rate stay silent.
func Samples(rate int) []float64 {
	x := make([]float64, int(math.Round(Seconds()*float64(rate))))
	for _, p := range Parts() {
		if p.Hz == 0 || p.Hz > 0.45*float64(rate) {
			continue
		}
		first, end := int((Lead+p.From)*float64(rate)), int((Lead+p.To)*float64(rate))
		ramp := fade * float64(rate)
		for i := first; i < end; i++ {
			edge := math.Min(1, math.Min(float64(i-first), float64(end-1-i))/ramp)
			x[i] = edge * math.Pow(10, p.DBFS/20) * math.Sin(2*math.Pi*p.Hz*float64(i-first)/float64(rate))
		}
	}
	return x
}
