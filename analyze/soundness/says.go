package soundness

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// changes says in words what happens, with the times.
func (c *course) changes() (text string, at []float64) {
	var n notes
	switch {
	case c.anyTold():
		c.toldChanges(&n)
	default:
		c.levelChanges(&n)
	}
	if c.waver {
		n.says = append(n.says, "the level goes up and down all the time")
	}
	if len(n.says) == 0 {
		n.says = []string{"the sound changes"}
		for _, p := range c.parts[1:] {
			n.at = append(n.at, c.Hops[p.From].From)
		}
	}
	text = strings.Join(n.says, ", ")
	if more := len(n.at) - len(n.says); more > 0 && len(n.says) >= mostSaid {
		text += fmt.Sprintf(" and %d more changes", more)
	}
	slices.Sort(n.at)
	return text, n.at
}

const mostSaid = 3 // changes that are told in words

// notes are changes in words, and the times of all of them.
type notes struct {
	says []string
	at   []float64
}

func (n *notes) add(t float64, format string, args ...any) {
	n.at = append(n.at, t)
	if len(n.says) < mostSaid {
		n.says = append(n.says, fmt.Sprintf(format, args...))
	}
}

// toldChanges are those of a recording with a confirmed tone: tone and noise are
// told apart.
func (c *course) toldChanges(n *notes) {
	for _, g := range c.gaps {
		n.add(c.Hops[g.From].From, "the tone is off from %.2f to %.2f s", c.Hops[g.From].From, c.Hops[g.To-1].To)
	}
	for _, b := range c.bursts {
		if !c.inGap(b.From) {
			n.add(c.Hops[b.From].From, "noise bursts in from %.2f to %.2f s", c.Hops[b.From].From, c.Hops[b.To-1].To)
		}
	}
	for i := 1; i < len(c.parts); i++ {
		a, b := c.parts[i-1], c.parts[i]
		t := c.Hops[b.From].From
		if c.inGap(a.From) || c.inGap(b.From) || a.To-a.From < 5 || b.To-b.From < 5 || c.inBurst(a) || c.inBurst(b) {
			continue
		}
		dt, dn := b.tone-a.tone, b.noise-a.noise
		switch {
		case math.Abs(dt) >= toneStep && math.Abs(dt) >= math.Abs(dn)/4:
			n.add(t, "the tone's level changes by %+.1f dB at %.2f s", dt, t)
		case math.Abs(dn) >= noiseStep:
			n.add(t, "the noise changes by %+.1f dB at %.2f s", dn, t)
		}
	}
}

// mutedDown is by how many dB a part lies under the loudest one to count as muted.
const mutedDown = 30

// levelChanges are those of a recording in which no tone is confirmed: what changes
// cannot be told, only that the level does, and where nothing is heard.
func (c *course) levelChanges(n *notes) {
	level := func(p part) float64 { return 10 * math.Log10(math.Pow(10, p.tone/10)+math.Pow(10, p.noise/10)) }
	var steady []part
	top := math.Inf(-1)
	for _, p := range c.parts {
		if p.To-p.From >= 5 {
			steady = append(steady, p)
			top = math.Max(top, level(p))
		}
	}
	muted := func(p part) bool { return level(p) < top-mutedDown }
	for i, p := range steady {
		from := c.Hops[p.From].From
		before := i > 0 && muted(steady[i-1])
		switch {
		case muted(p) && !before:
			end := i
			for end+1 < len(steady) && muted(steady[end+1]) {
				end++
			}
			n.add(from, "nothing is heard from %.2f to %.2f s", from, c.Hops[steady[end].To-1].To)
		case i > 0 && !muted(p) && !before && math.Abs(level(p)-level(steady[i-1])) >= noiseStep:
			n.add(from, "the level changes by %+.1f dB at %.2f s", level(p)-level(steady[i-1]), from)
		}
	}
}
