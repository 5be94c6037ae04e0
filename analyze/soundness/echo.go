package soundness

import (
	"math"

	"hisspoint/analyze/internal/track"
)

// An echo canceller that hears the tone twice learns it and takes it away, with a
// time constant of tenths of a second; a hand takes longer or, with a switch, less
// than a hop.
const (
	echoStart = 5    // hops at the start in which the tone still stands
	echoStays = 25   // hops over which what is left must not rise again
	echoHops  = 4    // that it takes at least from a fifth to four fifths of the way
	echoRest  = 0.4  // share of the recording, at its end, in which it is gone
	echoBack  = 0.25 // share of the way by which it may seem to come back meanwhile
	echoTakes = 5.0  // s from the start within which most of it is gone
)

// cancelled is by how much a tone that is there at the start sinks, evenly, and
// then stays away while the noise stays; 0 if it does not.
func (c *course) cancelled() float64 {
	x := c.Curves.Tone
	n := len(x)
	if n < 2*echoStays {
		return 0
	}
	end := int(float64(n) * (1 - echoRest))
	top, bottom := track.Median(x[:echoStart]), track.Median(x[end:])
	noise := track.Median(c.Curves.Noise[:echoStart])
	d := top - bottom
	if d < sinkTone || top-noise < sinkTone || noise-track.Median(c.Curves.Noise[end:]) > d/2 {
		return 0
	}
	smooth := func(i, hops int) float64 { return track.Median(x[i:min(n, i+hops)]) }
	low := 0
	for low < end && smooth(low, echoStart) > top-0.8*d {
		low++
	}
	high, last := 0, math.Inf(1)
	for i := range low {
		v := smooth(i, echoStart)
		if v > top-0.2*d {
			high, last = i, math.Inf(1)
		}
		if v > last+echoBack*d {
			return 0
		}
		last = math.Min(last, v)
	}
	for i := low; i+echoStays <= n; i++ {
		if smooth(i, echoStays) > top-0.6*d {
			return 0
		}
	}
	if low == end || low-high < echoHops || c.Hops[low].From > echoTakes {
		return 0
	}
	return d
}
