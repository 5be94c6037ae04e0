package parts

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"hisspoint/analyze/internal/segment"
	"hisspoint/analyze/internal/track"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

func Frames(r capture.Recording, seconds float64) int64 {
	return min(r.Total, int64(seconds*float64(r.Rate)+0.5))
}

// Part is a stretch of a recording in which nothing was turned. Moments of
// turning are not in it, nor is what may belong to its neighbour: from the end of one
// part to the beginning of the next reaches all that is in doubt.
type Part struct {
	From, To    float64 // seconds from the start of the file
	Turned      float64 // likeliest moment of the turning before it; the start for the first
	Tone, Noise float64 // dBFS, medians over the part's blocks; -200 for none
	Unsteady    bool    // it holds more than one state
}

// Misfit is the error of Steps and its like when the parts found are not those that
// are listed: nothing is guessed then, and the parts are what was found.
type Misfit struct {
	File  string
	Why   string // what was found instead of what
	Found string // where, with what leads over to it; may be empty
}

func (m *Misfit) Error() string { return m.File + ": the steps found do not fit: " + m.Text() }

// Text is the error for people who know which file and what kind of error it is.
func (m *Misfit) Text() string { return m.Why + m.Found }

// IsMisfit tells whether an error is a Misfit.
func IsMisfit(err error) bool { return errors.As(err, new(*Misfit)) }

// How steps are looked for. Times are in seconds, differences in dB.
const (
	stepMin      = 1.0  // shortest plateau
	stepKeep     = 0.4  // shortest that is left when what may be its neighbour's is cut off
	stepMargin   = 0.15 // left out at either end of a plateau besides, where its border is sharp: contacts are heard for 0.12 s
	leastMargin  = 0.03 // and where it is not
	Most         = 60   // plateaus at most
	stepSpare    = 2    // beyond the number expected that are looked for
	stepStrange  = 0.4  // time in another state that makes a plateau unsteady
	leastTone    = 0.1  // change of a tone that counts
	leastNoise   = 0.3  // change of noise that counts
	settleBlocks = 5    // whose median is compared with a plateau's tone
	settleWithin = 0.15 // dB that they may differ
	floorTone    = 0.02 // scatter that a tone may have for free
	floorNoise   = 0.15 // and noise
)

// Steps finds the n plateaus of a recording in which something, such as a
// generator's level, was stepped from one setting to the next.
//
// Blocks of 50 ms give the level of the tone and of the noise between clicks, in
// two bands; in AM and SSB, where the gain control follows a step only in its time,
// how far the tone stands above that noise. Dynamic programming with the number of plateaus
// known finds where they change (package segment). If the plateaus that are
// there are not n, or if one of them holds more than one state, the error wraps
// a Misfit and the parts are what was found: nothing is guessed. Domain: n from 1
// to 60; plateaus of 1.5 s or more that differ by 1 dB or more of RF level
// where noise follows it.
func Steps(r capture.Recording, n int, how job.Reading) ([]Part, error) {
	if n < 1 || n > Most {
		return nil, fmt.Errorf("%s: steps are found for 1 to %d levels, not %d", r.Origin.File, Most, n)
	}
	b, err := blocksOf(r, how)
	if err != nil {
		return nil, err
	}
	if b.blocks(stepMin) > len(b.x) {
		return nil, fmt.Errorf("%s: is %.1f s long, too short for %d levels: leave the generator alone for 3 s at each", r.Origin.File, r.Seconds(), n)
	}
	if how.Mode == job.AM || how.Mode == job.SSB {
		b = b.steadied()
	}
	parts := b.parts(b.known(n+stepSpare, b.options()))
	if why := Unfit(parts, n, "level"); why != "" {
		return parts, &Misfit{r.Origin.File, why, times(parts)}
	}
	return parts, nil
}

func (b blocked) options() segment.Options {
	return segment.Options{Min: b.blocks(stepMin), Most: Most,
		Aside: features - featAbove, Floor: []float64{floorTone, floorNoise, floorNoise, floorNoise}, Least: []float64{leastTone, leastNoise, leastNoise}}
}

// known is the cut into the most plateaus, up to a number, that surely differ
// from their neighbours.
func (b blocked) known(most int, o segment.Options) segment.Cut {
	o.Most, o.Penalty = most, -1
	cut, _ := segment.Find(b.x, o)
	return cut
}

// times are the stretches of a cut in seconds: what may be the neighbour's, as
// the range of the border says, is not in them, nor is a margin besides. Where
// neighbours differ much a border is sharp, and the margin is for contacts that sound
// like one of them; where they hardly differ the range is wide already.
func (b blocked) times(c segment.Cut, margin float64) []Part {
	out := make([]Part, len(c.Stretches))
	for i, s := range c.Stretches {
		p := Part{From: b.at(s.From), To: b.at(s.To), Turned: b.start}
		if i > 0 {
			p.From += b.margin(c.Borders[i-1], margin)
			p.Turned = b.at(c.Borders[i-1].At)
		}
		if i < len(out)-1 {
			p.To -= b.margin(c.Borders[i], margin)
		}
		p.To = math.Max(p.From, p.To)
		out[i] = p
	}
	return out
}

func (b blocked) margin(at segment.Border, sharp float64) float64 {
	return math.Max(leastMargin, sharp-float64(at.High-at.Low)*b.hop/4)
}

// parts are the stretches of a cut in seconds, with what was measured in them.
func (b blocked) parts(c segment.Cut) []Part {
	c.Stretches = slices.Clone(c.Stretches)
	for i := 1; i < len(c.Stretches); i++ {
		c.Stretches[i].From = b.settled(c.Stretches[i])
	}
	out := b.times(c, stepMargin)
	for i, s := range c.Stretches {
		out[i].Tone, out[i].Noise = track.Median(b.tone[s.From:s.To]), track.Median(b.noise[s.From:s.To])
		out[i].Unsteady = b.strange(s)
	}
	return out
}

// settled is the block from which on the tone's level is that of the stretch's
// second half: a gain control takes its time. It is in the first half.
func (b blocked) settled(s segment.Stretch) int {
	middle := (s.From + s.To) / 2
	level, scatter := track.Median(b.tone[middle:s.To]), track.Spread(b.tone[middle:s.To])
	for i := s.From; i+settleBlocks < middle; i++ {
		if math.Abs(track.Median(b.tone[i:i+settleBlocks])-level) < settleWithin+scatter {
			return i
		}
	}
	return s.From
}

// Unfit says what was found instead of n plateaus that keep still; empty: they
// do. what is the word for one.
func Unfit(parts []Part, n int, what string) string {
	unsteady, short := 0, 0
	for _, p := range parts {
		if p.Unsteady {
			unsteady++
		}
		if p.To-p.From < stepKeep {
			short++
		}
	}
	switch {
	case len(parts) != n:
		return fmt.Sprintf("%d %ss are listed and %d were found", n, what, len(parts))
	case unsteady > 0:
		return fmt.Sprintf("%d of the %d %ss found did not keep still", unsteady, n, what)
	case short > 0:
		return fmt.Sprintf("%d of the %d %ss found can hardly be told from their neighbours", short, n, what)
	}
	return ""
}

// times says where the parts are.
func times(parts []Part) string {
	var list []string
	for _, p := range parts {
		list = append(list, fmt.Sprintf("%.1f to %.1f s", p.From, p.To))
	}
	return " (" + strings.Join(list, ", ") + ")"
}

// strange tells whether a plateau holds another state for a while: a run of
// blocks that are all far from its middle. Clicks come and go.
func (b blocked) strange(s segment.Stretch) bool {
	while := max(3, b.blocks(stepStrange))
	for f := range min(len(b.x[0]), featAbove) {
		middle, scatter := segment.Middle(b.x, s, f)
		far, run := math.Max(5*scatter, 1), 0
		for _, v := range b.x[s.From:s.To] {
			if run++; math.Abs(v[f]-middle) <= far {
				run = 0
			}
			if run >= while {
				return true
			}
		}
	}
	return false
}
