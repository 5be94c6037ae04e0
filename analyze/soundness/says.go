package soundness

import (
	"hisspoint/capture/note"
	"math"
	"slices"
)

// changes says what happens, with the times.
func (c *course) changes() (says note.Note, at []float64) {
	var n notes
	switch {
	case c.anyTold():
		c.toldChanges(&n)
	default:
		c.levelChanges(&n)
	}
	if c.waver {
		n.says = append(n.says, note.Of("level-wavers"))
	}
	if len(n.says) == 0 {
		n.says = []note.Note{note.Of("sound-changes")}
		for _, p := range c.parts[1:] {
			n.at = append(n.at, c.Hops[p.From].From)
		}
	}
	says = note.Joined(", ", n.says)
	if more := len(n.at) - len(n.says); more > 0 && len(n.says) >= mostSaid {
		says = note.Of("and-more-changes", says, more)
	}
	slices.Sort(n.at)
	return says, n.at
}

const mostSaid = 3 // changes that are told one by one

// notes are the first changes, and the times of all of them.
type notes struct {
	says []note.Note
	at   []float64
}

func (n *notes) add(t float64, says note.Note) {
	n.at = append(n.at, t)
	if len(n.says) < mostSaid {
		n.says = append(n.says, says)
	}
}

// toldChanges are those of a recording with a confirmed tone: tone and noise are
// told apart.
func (c *course) toldChanges(n *notes) {
	for _, g := range c.gaps {
		n.add(c.Hops[g.From].From, note.Of("tone-off", note.Seconds(c.Hops[g.From].From), note.Seconds(c.Hops[g.To-1].To)))
	}
	for _, b := range c.bursts {
		if !c.inGap(b.From) {
			n.add(c.Hops[b.From].From, note.Of("noise-bursts", note.Seconds(c.Hops[b.From].From), note.Seconds(c.Hops[b.To-1].To)))
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
			n.add(t, note.Of("tone-steps", note.DB(dt), note.Seconds(t)))
		case math.Abs(dn) >= noiseStep:
			n.add(t, note.Of("noise-steps", note.DB(dn), note.Seconds(t)))
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
			n.add(from, note.Of("nothing-heard", note.Seconds(from), note.Seconds(c.Hops[steady[end].To-1].To)))
		case i > 0 && !muted(p) && !before && math.Abs(level(p)-level(steady[i-1])) >= noiseStep:
			n.add(from, note.Of("level-steps", note.DB(level(p)-level(steady[i-1])), note.Seconds(from)))
		}
	}
}
