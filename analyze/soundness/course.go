package soundness

import (
	"math"
	"math/cmplx"
	"slices"

	"hisspoint/analyze/internal/chunk"
	"hisspoint/analyze/internal/track"
)

// What counts as a change, besides being no chance.
const (
	toneStep  = 0.3 // dB of the tone, between parts
	noiseStep = 2   // dB of the filtered noise, between parts
	restStep  = 10  // dB of everything but the tone, unfiltered: knocks and thumps
	burst     = 6   // dB of noise, where it lasts a few hops only
	toneGone  = 10  // dB under its strongest part, at which the tone counts as off
	trimHops  = 2   // left out beside each change, whose place is known to a hop or so
	manyGaps  = 3   // interruptions from which the tone counts as keyed
	leastUsed = 0.4 // seconds that a steady part must last ...
	leastPart = 0.4 // ... and share of the recording
	keepsTo   = 2   // dB by which a tone may scatter from hop to hop in a part in which it is looked for anew
)

// part is a stretch of a recording in which nothing changes.
type part struct {
	track.Stretch
	tone, noise float64 // medians, dB
}

// course is what a recording does over time.
type course struct {
	chunk.Trail
	parts  []part
	bursts []track.Stretch // of noise
	gaps   []track.Stretch // in which the tone is off
	tone   bool            // a tone is there at least part of the time
	waver  bool            // the tone's level goes up and down all the time
}

// courseOf divides a recording where its tone or its noise change.
func courseOf(t chunk.Trail) course {
	c := course{Trail: t}
	n := len(t.Hops)
	if n == 0 {
		return c
	}
	cuts := []int{0, n}
	cuts = append(cuts, track.Steps(t.Curves.Tone, toneStep)...)
	cuts = append(cuts, track.Steps(t.Curves.Noise, noiseStep)...)
	cuts = append(cuts, track.Steps(t.Curves.Rest, restStep)...)
	slices.Sort(cuts)
	c.findBursts(slices.Compact(cuts))
	for _, b := range c.bursts {
		cuts = append(cuts, b.From, b.To)
	}
	size := make([]float64, n)
	for i, h := range t.Hops {
		size[i] = cmplx.Abs(h.Tone)
	}
	outages := track.Outages(size)
	for _, o := range outages {
		cuts = append(cuts, o.From, o.To)
	}
	slices.Sort(cuts)
	c.divide(slices.Compact(cuts))
	c.findGaps()
	c.waver = c.wavers()
	return c
}

// findBursts looks for short bursts of noise in each part.
func (c *course) findBursts(cuts []int) {
	for i := 1; i < len(cuts); i++ {
		from, to := cuts[i-1], cuts[i]
		found := append(track.Bursts(c.Curves.Noise[from:to], burst), track.Bursts(c.Curves.Rest[from:to], restStep)...)
		for _, b := range found {
			c.bursts = append(c.bursts, track.Stretch{From: from + b.From, To: from + b.To})
		}
	}
}

func (c *course) divide(cuts []int) {
	for i := 1; i < len(cuts); i++ {
		c.parts = append(c.parts, c.part(track.Stretch{From: cuts[i-1], To: cuts[i]}))
	}
}

func (c *course) part(s track.Stretch) part {
	return part{s, track.Median(c.Curves.Tone[s.From:s.To]), track.Median(c.Curves.Noise[s.From:s.To])}
}

// findGaps notes where the tone is off: far weaker than in its strongest part.
func (c *course) findGaps() {
	top := math.Inf(-1)
	for _, p := range c.parts {
		if p.To-p.From >= 5 && track.Spread(c.Curves.Tone[p.From:p.To]) < keepsTo {
			c.tone = true
			top = math.Max(top, p.tone)
		}
	}
	if !c.tone {
		return
	}
	for _, p := range c.parts {
		weaker := p.tone > p.noise-5 && track.Spread(c.Curves.Tone[p.From:p.To]) < keepsTo // but there
		if p.tone > top-toneGone || p.To-p.From < 2 || p.To-p.From >= 10 && weaker {
			continue
		}
		if n := len(c.gaps); n > 0 && c.gaps[n-1].To == p.From {
			c.gaps[n-1].To = p.To
			continue
		}
		c.gaps = append(c.gaps, p.Stretch)
	}
	c.gaps = slices.DeleteFunc(c.gaps, c.passes)
}

// passes tells whether a gap is none but the way from a strong tone to one that stays weak.
func (c *course) passes(g track.Stretch) bool {
	lowest, beside := math.Inf(1), math.Inf(1)
	for _, p := range c.parts {
		switch {
		case p.From >= g.From && p.To <= g.To:
			lowest = math.Min(lowest, p.tone)
		case p.To == g.From || p.From == g.To:
			beside = math.Min(beside, p.tone)
		}
	}
	return beside < lowest+toneGone/2
}

const waver = 1 // dB by which a level goes up and down from hop to hop

// wavers tells whether the tone's level goes up and down even within the longest part.
func (c *course) wavers() bool {
	i := c.longestPart()
	return i >= 0 && track.Wanders(c.Curves.Tone[c.parts[i].From:c.parts[i].To], waver)
}

// steady tells whether nothing changes from end to end.
func (c *course) steady() bool { return len(c.parts) <= 1 && !c.waver }

// onlyHum tells whether nothing but the noise changes from part to part, and by no
// more than mains that wander against their fitted lines explain, which leave loose
// (mean square, filtered) on average: between nothing and four times the lines' power.
func (c *course) onlyHum(loose float64) bool {
	if c.waver || len(c.gaps) > 0 || loose == 0 {
		return false
	}
	var least, most part
	for i, p := range c.parts {
		if i == 0 {
			least, most = p, p
		}
		least.tone, least.noise = math.Min(least.tone, p.tone), math.Min(least.noise, p.noise)
		most.tone, most.noise = math.Max(most.tone, p.tone), math.Max(most.noise, p.noise)
	}
	power := func(db float64) float64 { return math.Pow(10, db/10) / 2 }
	return most.tone-least.tone < toneStep && power(most.noise)-power(least.noise) <= 4*loose
}

func (c *course) longestPart() int {
	best := -1
	for i, p := range c.parts {
		if best < 0 || p.To-p.From > c.parts[best].To-c.parts[best].From {
			best = i
		}
	}
	return best
}

// longest is the longest steady part worth measuring, in seconds from the
// recording's start. Without one ok is false: the recording never gets a figure
// that only a tone has.
func (c *course) longest(seconds float64) (from, to float64, ok bool) {
	best := c.longestPart()
	if best < 0 || len(c.gaps) >= manyGaps || c.waver {
		return 0, 0, false
	}
	p := c.parts[best].Stretch
	from, to = 0, seconds
	if p.From > 0 {
		p.From = min(p.From+trimHops, p.To-1)
		from = c.Hops[p.From].From
	}
	if p.To < len(c.Hops) {
		p.To = max(p.To-trimHops, p.From+1)
		to = c.Hops[p.To-1].To
	}
	if to-from < leastUsed || to-from < leastPart*seconds {
		return 0, 0, false
	}
	return from, to, true
}

// steadyTone tells whether the part holds a tone of constant amplitude.
func (c *course) steadyTone(from, to float64) bool {
	var amp []float64
	for i, h := range c.Hops {
		if h.From >= from-1e-9 && h.To <= to+1e-9 {
			amp = append(amp, c.Curves.Tone[i])
		}
	}
	return track.Spread(amp) < keepsTo
}

func (c *course) inGap(hop int) bool {
	return slices.ContainsFunc(c.gaps, func(g track.Stretch) bool { return hop >= g.From && hop < g.To })
}

func (c *course) inBurst(p part) bool {
	return slices.ContainsFunc(c.bursts, func(b track.Stretch) bool { return p.From >= b.From && p.From < b.To })
}
