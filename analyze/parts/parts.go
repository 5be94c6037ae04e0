// Package parts finds the stretches of one recording: plateaus of level between which
// something was stepped, and parts that were switched. It must not know what a test
// makes of them.
package parts

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/segment"
	"hisspoint/analyze/internal/track"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// PartFound is a part of a recording in which the signal was switched, and
// what it measures.
type PartFound struct {
	Part
	State    string // as it was listed: job.StateOff, StateCarrier or StateModulated
	Measured analyze.Measured
}

const (
	partChange = 1   // dB by which a feature changes at least from part to part
	toneUnder  = 20  // dB below the modulated parts' tone at which it counts as off: what is left of a generator's modulation
	toneClear  = 6   // dB of SINAD from which a tone counts as there where no part is modulated
	driftSure  = 4   // standard errors, about, from which noise drifts
	hissLeast  = 0.5 // dB by which the hiss without a signal exceeds the noise with one, FM
)

// Parts finds the parts of a recording in which the signal was switched
// between no signal, a carrier and a modulated carrier, in the order of states:
// one part for each, the moments of switching left out. Each part is checked
// for keeping still and for fitting its state: a tone where it is modulated and none
// elsewhere (a carrier in an SSB set is a tone), and in FM more noise without a
// signal than with one. Where the parts found do not fit, the error is a Misfit
// and says what was found, and the parts are returned with it. Domain: parts
// of 1.5 s or more; neighbours differ by 1 dB or more in tone or noise. While a gain
// control recovers from a signal that went, that belongs to no part.
func Parts(r capture.Recording, how job.Reading, states []string) ([]PartFound, error) {
	for _, s := range states {
		if !slices.Contains(job.States, s) {
			return nil, fmt.Errorf("%s: part %q is not known: use %s", r.Origin.File, s, strings.Join(job.States, ", "))
		}
	}
	if len(states) < 1 || len(states) > Most {
		return nil, fmt.Errorf("%s: 1 to %d parts are found, not %d", r.Origin.File, Most, len(states))
	}
	b, err := blocksOf(r, how)
	if err != nil {
		return nil, err
	}
	if b.blocks(stepMin) > len(b.x) {
		return nil, fmt.Errorf("%s: is %.1f s long, too short for %d parts: leave 3 s for each", r.Origin.File, r.Seconds(), len(states))
	}
	o := b.options()
	o.Least = []float64{partChange, partChange, partChange}
	cut := b.known(2*len(states)+stepSpare, o)
	if len(cut.Stretches) > len(states) {
		cut = b.withoutWays(cut)
	}
	plain := b.parts(cut)
	for i, s := range cut.Stretches {
		plain[i].Unsteady = plain[i].Unsteady || b.drift(s) != 0
	}
	found := make([]PartFound, len(plain))
	for i, p := range plain {
		found[i].Part = p
		if found[i].Measured, err = Measure(r, p, how); err != nil {
			return nil, err
		}
		if len(plain) == len(states) {
			found[i].State = states[i]
		}
	}
	why := Unfit(plain, len(states), "part")
	if why == "" {
		why = unlike(found, how)
	}
	if why != "" {
		return found, &Misfit{r.Origin.File, why, "; found: " + describe(found)}
	}
	return found, nil
}

// withoutWays leaves out the stretches in which the noise is on its way from one
// neighbour's to the other's: a gain control that recovers from a signal.
func (b blocked) withoutWays(c segment.Cut) segment.Cut {
	noise := func(s segment.Stretch) float64 { return track.Median(b.noise[s.From:s.To]) }
	out := segment.Cut{Stretches: c.Stretches[:1:1]}
	for i := 1; i < len(c.Stretches); i++ {
		s, at := c.Stretches[i], c.Borders[i-1]
		if n := len(out.Borders); len(out.Stretches) == n { // what lay between was left out
			at.Low, at.At = out.Borders[n-1].Low, out.Borders[n-1].At
			out.Borders = out.Borders[:n-1]
		}
		out.Borders = append(out.Borders, at)
		if i < len(c.Stretches)-1 {
			from, to := noise(c.Stretches[i-1]), noise(c.Stretches[i+1])
			if d := b.drift(s); d != 0 && d > 0 == (to > from) && (noise(s)-from)*(to-noise(s)) > 0 {
				continue
			}
		}
		out.Stretches = append(out.Stretches, s)
	}
	return out
}

// drift is by how many dB the noise changes from the first quarter of a stretch
// to its last; 0 where that is less than partChange or no more than chance.
func (b blocked) drift(s segment.Stretch) float64 {
	n := s.Len() / 4
	if n < 2 {
		return 0
	}
	first, last := b.noise[s.From:s.From+n], b.noise[s.To-n:s.To]
	d := track.Median(last) - track.Median(first)
	if math.Abs(d) < math.Max(partChange, driftSure*(track.Spread(first)+track.Spread(last))/math.Sqrt(float64(n))) {
		return 0
	}
	return d
}

// Measure measures a stretch of a recording; one that is too short gives no readings.
func Measure(r capture.Recording, p Part, how job.Reading) (analyze.Measured, error) {
	first, last := Frames(r, p.From), Frames(r, p.To)
	if float64(last-first) < reading.MinSeconds*float64(r.Rate) {
		return analyze.Measured{Origin: r.Origin, Rate: r.Rate, From: p.From, To: p.To}, nil
	}
	one, err := r.Whole().Cut(first, last-first)
	if err != nil {
		return analyze.Measured{}, err
	}
	return reading.Measure(one, how)
}

// unlike says which part is not what its state says; empty: all are.
func unlike(found []PartFound, how job.Reading) string {
	top := float64(silentDBFS)
	for _, p := range found {
		if t := p.Measured.Get(analyze.ToneLevel); p.State == job.StateModulated && t.OK() {
			top = max(top, t.Value)
		}
	}
	for i, p := range found {
		due := p.State == job.StateModulated || p.State == job.StateCarrier && how.Mode == job.SSB
		t, s := p.Measured.Get(analyze.ToneLevel), p.Measured.Get(analyze.SINAD)
		has := t.OK() && t.Value > top-toneUnder && (top > silentDBFS || s.OK() && s.Value > toneClear)
		if due && !t.OK() {
			return fmt.Sprintf("part %d should be %s, but holds no tone", i+1, p.State)
		}
		if !due && has {
			return fmt.Sprintf("part %d should be %s, but holds a tone", i+1, p.State)
		}
	}
	if how.Mode != "" && how.Mode != job.FM {
		return ""
	}
	for i, off := range found {
		for k, on := range found {
			if off.State == job.StateOff && on.State != job.StateOff && off.Noise < on.Noise+hissLeast {
				return fmt.Sprintf("part %d should be off, but has less noise than part %d, which has a signal: check the order, and open the squelch", i+1, k+1)
			}
		}
	}
	return ""
}

// describe lists parts with what they hold.
func describe(found []PartFound) string {
	var list []string
	for _, p := range found {
		text := fmt.Sprintf("%.1f to %.1f s no tone, noise %.1f dBFS", p.From, p.To, p.Noise)
		if s := p.Measured.Get(analyze.SINAD); s.OK() {
			text = fmt.Sprintf("%.1f to %.1f s SINAD %.1f dB, noise %.1f dBFS", p.From, p.To, s.Value, p.Noise)
		}
		list = append(list, text)
	}
	return strings.Join(list, ", ")
}
