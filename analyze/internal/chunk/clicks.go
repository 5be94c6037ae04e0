package chunk

import (
	"math"
	"slices"
)

// Near the FM threshold noise comes in clicks: turns of the phase by a whole
// cycle, each of which adds a short burst (S. O. Rice, Noise in FM receivers,
// 1963). While they are many, blocks of the recording show their scatter. While
// they are few, blocks do not: a recording may hold none at all where on average
// there is one. So clicks are counted, and their number is taken as Poisson.

const (
	clickWindow = 0.005 // s: a click and its ringing through the speech band
	clickStands = 5     // times the ordinary window's power from which a window counts as a click
	ManyClicks  = 20    // so many are left to the blocks
	Crowded     = 8     // clicks a second from which they meet in one window: no Poisson process any more
	Unsure      = 0.85  // by so much the carrier-to-noise ratio may be less than audio and filter make believe
)

// findClicks marks the windows of the filtered remainder y, ratio of its samples
// a second, that stand out, and books their excess in click energies (mean
// square times seconds) and in the blocks.
func (c *chunkWork) findClicks(y []float64, perSecond float64) {
	n := int(clickWindow * perSecond)
	if n < 4 || len(y) < 20*n {
		return
	}
	power := make([]float64, len(y)/n)
	for i := range power {
		for _, v := range y[i*n : (i+1)*n] {
			power[i] += v * v / float64(n)
		}
	}
	sorted := slices.Clone(power)
	slices.Sort(sorted)
	median := sorted[len(sorted)/2]
	if median <= 0 {
		return
	}
	seconds := float64(n) / perSecond
	for i := 0; i < len(power); i++ {
		if power[i] < clickStands*median {
			continue
		}
		from, to := max(0, i-1), i
		for to+1 < len(power) && power[to+1] > clickStands*median {
			to++
		}
		to = min(len(power)-1, to+1)
		energy := 0.0
		for k := from; k <= to; k++ {
			e := (power[k] - median) * seconds
			energy += e
			c.bookClick((float64(k)+0.5)*seconds, e)
		}
		c.out.Clicks = append(c.out.Clicks, math.Max(0, energy))
		i = to
	}
}

func (c *chunkWork) bookClick(at, energy float64) {
	nb := len(c.out.Blocks)
	b := min(nb-1, int(at/c.out.Seconds*float64(nb)))
	c.out.Blocks[b].Clicks += energy / c.out.Blocks[b].Seconds
}
