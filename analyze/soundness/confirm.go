package soundness

import (
	"math"
	"math/cmplx"
	"slices"

	"hisspoint/analyze/internal/track"
)

// What makes the tone of a part a confirmed one: only of such a tone can it be told
// what happened to the recording. Speech, data and fading sound have lines as well.
const (
	confirmHops = 25   // half a second
	steadyLevel = 0.3  // dB by which the level may scatter beyond what neighbours show
	steadyTimes = 1.3  // times what neighbours show
	steadyPhase = 0.35 // rad of scatter from a frequency that does not move
	sameHz      = 0.5  // between parts of one tone

	medianScatter = 1.2533 // the median of a normal distribution scatters so much more than the mean
)

// leastOver is how far a tone of 2 dB SINAD, (S+N)/N, stands over the noise in dB.
var leastOver = 10 * math.Log10(math.Pow(10, 0.2)-1)

// confirmed tells whether a part holds one tone from end to end, and its frequency
// against that of the track: SINAD of 2 dB or more, a level that scatters from its
// median hardly more than neighbours do from each other, and a phase that keeps to
// one frequency. Both scatters are median deviations, so clicks do not move them.
func (c *course) confirmed(p part) (hz float64, ok bool) {
	if p.To-p.From < confirmHops || p.tone < p.noise+leastOver {
		return 0, false
	}
	level := c.Curves.Tone[p.From:p.To]
	if track.Spread(level) > math.Hypot(steadyTimes*track.Spread(differences(level))/math.Sqrt2, steadyLevel) {
		return 0, false
	}
	turns := c.turns(p.Stretch)
	if track.Spread(turns)/math.Sqrt2 > steadyPhase {
		return 0, false
	}
	hop := (c.Hops[p.To-1].To - c.Hops[p.From].From) / float64(p.To-p.From)
	return track.Median(turns) / (2 * math.Pi * hop), true
}

// turns are by how much the tone's phase turns from hop to hop.
func (c *course) turns(s track.Stretch) []float64 {
	var out []float64
	for i := s.From + 1; i < s.To; i++ {
		out = append(out, cmplx.Phase(c.Hops[i].Tone*cmplx.Conj(c.Hops[i-1].Tone)))
	}
	return out
}

func differences(x []float64) []float64 {
	out := make([]float64, len(x)-1)
	for i := range out {
		out[i] = x[i+1] - x[i]
	}
	return out
}

// anyTold tells whether the tone of any part is confirmed.
func (c *course) anyTold() bool {
	return slices.ContainsFunc(c.parts, func(p part) bool { _, ok := c.confirmed(p); return ok })
}

// toldParts are the parts whose tone is confirmed, all of one frequency: that of the
// longest of them.
func (c *course) toldParts() []part {
	var told []part
	var hz []float64
	longest := -1
	for _, p := range c.parts {
		v, ok := c.confirmed(p)
		if !ok || c.inBurst(p) {
			continue
		}
		told, hz = append(told, p), append(hz, v)
		if longest < 0 || p.To-p.From > told[longest].To-told[longest].From {
			longest = len(told) - 1
		}
	}
	same := told[:0]
	for i, p := range told {
		if math.Abs(hz[i]-hz[longest]) <= sameHz {
			same = append(same, p)
		}
	}
	return same
}

// What a gain does: it takes tone and noise along alike. A part further down is
// muted, and one at the floor of the samples shows no noise to compare.
const (
	gainMost   = 30.0 // dB
	gainLikely = 0.3  // dB by which tone and noise may differ at least
	gainSigmas = 3
)

// moved is by how much a gain was moved between the loudest and the quietest of the
// parts with a confirmed tone, and the hops at which those begin that follow another;
// 0 where tone and noise do not go together. quantised is the level in dB of the
// noise that rounding makes.
func (c *course) moved(quantised float64) (db float64, at []int) {
	told := c.toldParts()
	if len(told) < 2 {
		return 0, nil
	}
	lo, hi := told[0], told[0]
	for i, p := range told {
		if p.tone < lo.tone {
			lo = p
		}
		if p.tone > hi.tone {
			hi = p
		}
		if i > 0 {
			at = append(at, p.From)
		}
	}
	dt, dn := hi.tone-lo.tone, hi.noise-lo.noise
	se := math.Hypot(c.noiseError(lo), c.noiseError(hi))
	switch {
	case dt < toneStep || dt > gainMost:
	case lo.noise < math.Max(c.Curves.Floor, quantised)+3: // noise that is not seen cannot tell
	case math.Abs(dt-dn) > math.Max(gainLikely, gainSigmas*se) || dn < math.Max(dt/2, gainSigmas*se):
	default:
		return dt, at
	}
	return 0, nil
}

// noiseError is the standard error of a part's median noise in dB, from its hops.
func (c *course) noiseError(p part) float64 {
	return medianScatter * track.Spread(c.Curves.Noise[p.From:p.To]) / math.Sqrt(float64(p.To-p.From))
}
