package analyze

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"hisspoint/analyze/internal/segment"
	"hisspoint/analyze/internal/spectrum"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// Part is a stretch of a recording in which the generator was left alone.
// Moments of turning are not in it.
type Part struct {
	From, To    float64 // seconds from the start of the file
	Tone, Noise float64 // dBFS, medians over the part's blocks; -200 for none
	Unsteady    bool    // it holds more than one state
}

// ErrSteps is wrapped by the error of Steps when the plateaus do not fit.
var ErrSteps = errors.New("the steps found do not fit")

// How steps are looked for. Times are in seconds, differences in dB.
const (
	stepBlock   = 0.05  // a block, windowed
	stepHop     = 0.025 // from block to block
	stepMemory  = 7     // blocks over which neighbours depend on each other: window and median
	stepMin     = 1.0   // shortest plateau
	stepGap     = 0.3   // longest moment of turning
	stepReach   = 0.75  // by which a border may be moved when it is settled
	stepMargin  = 0.1   // left out at either end of a plateau
	stepFloor   = 0.15  // scatter that a plateau may have for free
	stepErrors  = 5     // standard errors by which neighbours have to differ
	stepLeast   = 0.25  // and the difference
	stepSpare   = 2     // plateaus beyond the number expected that are looked for
	stepMost    = 60    // plateaus at most
	stepBlocks  = 4000  // blocks at most; longer recordings get coarser ones
	silentDBFS  = -200
	stepStrange = 0.4 // time in another state that makes a plateau unsteady
)

// Steps finds the n plateaus of a recording in which something, such as a
// generator's level, was stepped from one setting to the next.
//
// Blocks of 50 ms give the level of the tone and of the noise beside it and its
// harmonics. Running ranks take clicks out; then the blocks are cut by
// optimal segmentation, and as many cuts count as plateaus on both sides of each
// differ beyond their scatter. If that number is not n, or if a plateau holds
// more than one state, the error wraps ErrSteps and the parts are what was
// found: nothing is guessed. Domain: n from 1 to 60; plateaus of 1.5 s or more
// that differ by 1 dB or more of RF level where noise follows it.
func Steps(r capture.Recording, n int, how job.Reading) ([]Part, error) {
	if n < 1 || n > stepMost {
		return nil, fmt.Errorf("%s: steps are found for 1 to %d levels, not %d", r.Origin.File, stepMost, n)
	}
	x, hop, err := stepFeatures(r, how)
	if err != nil {
		return nil, err
	}
	if len(x) < 4*stepMemory {
		return nil, fmt.Errorf("%s: is %.1f s long, too short for %d levels: leave the generator alone for 3 s at each", r.Origin.File, r.Seconds(), n)
	}
	raw := x
	x = still(x)
	o := segment.Options{Min: max(4, int(stepMin/hop)), Gap: int(stepGap / hop), Floor: stepFloor}
	cuts := segment.Optimal(x, n+stepSpare, o)
	var cut []segment.Segment
	for _, c := range cuts {
		if c != nil && (cut == nil || apart(x, c)) {
			cut = c
		}
	}
	cut = segment.Settle(x, cut, int(stepReach/hop), int(stepGap/hop)/2)
	parts := make([]Part, len(cut))
	unsteady := 0
	for i, s := range cut {
		tone, _ := segment.Middle(raw, s, 0)
		noise, _ := segment.Middle(raw, s, 1)
		p := Part{From: r.FromSeconds() + float64(s.From)*hop, To: r.FromSeconds() + float64(s.To-1)*hop + stepBlock, Tone: tone, Noise: noise, Unsteady: strange(x, s, max(3, int(stepStrange/hop)))}
		if i > 0 {
			p.From += stepMargin
		}
		if i < len(cut)-1 {
			p.To -= stepMargin
		} else {
			p.To = r.ToSeconds()
		}
		if p.Unsteady {
			unsteady++
		}
		parts[i] = p
	}
	if len(parts) != n || unsteady > 0 {
		return parts, fmt.Errorf("%s: %w: %s", r.Origin.File, ErrSteps, misfit(parts, n, unsteady))
	}
	return parts, nil
}

// misfit says what was found instead of n plateaus.
func misfit(parts []Part, n, unsteady int) string {
	text := fmt.Sprintf("%d levels are listed and %d were found", n, len(parts))
	if len(parts) == n {
		text = fmt.Sprintf("%d of the %d levels found did not keep still", unsteady, n)
	}
	var list []string
	for _, p := range parts {
		list = append(list, fmt.Sprintf("%.1f to %.1f s", p.From, p.To))
	}
	return text + " (" + strings.Join(list, ", ") + ")"
}

// apart tells whether all neighbours of a cut differ beyond their scatter.
func apart(x [][]float64, cut []segment.Segment) bool {
	for i := 1; i < len(cut); i++ {
		e, d := segment.Apart(x, cut[i-1], cut[i], stepMemory)
		if e < stepErrors || d < stepLeast {
			return false
		}
	}
	return true
}

// strange tells whether a plateau holds another state for a while: a run of so
// many blocks, all far from its middle. Clicks come and go.
func strange(x [][]float64, s segment.Segment, while int) bool {
	for f := range x[0] {
		middle, scatter := segment.Middle(x, s, f)
		far, run := math.Max(5*scatter, 1), 0
		for _, b := range x[s.From:s.To] {
			if run++; math.Abs(b[f]-middle) <= far {
				run = 0
			}
			if run >= while {
				return true
			}
		}
	}
	return false
}

// still is the features without clicks: a running median over five blocks of
// the tone, and of the noise the third smallest of seven. Clicks, those of an FM
// threshold too, only ever add to noise, so what lies between them is the better
// witness of the level; an edge moves by less than a block.
func still(x [][]float64) [][]float64 {
	out := make([][]float64, len(x))
	for i := range x {
		out[i] = []float64{ranked(x, i, 0, 2, 2), ranked(x, i, 1, 3, 2)}
	}
	return out
}

// ranked is the value of a rank, from 0, among the blocks around block i.
func ranked(x [][]float64, i, feature, around, rank int) float64 {
	var w []float64
	for k := max(0, i-around); k <= min(len(x)-1, i+around); k++ {
		w = append(w, x[k][feature])
	}
	slices.Sort(w)
	return w[min(rank, len(w)-1)]
}

// stepFeatures reads tone and noise level of each block, dBFS, and the time
// from block to block.
func stepFeatures(r capture.Recording, how job.Reading) ([][]float64, float64, error) {
	hop := max(1, int(stepHop*float64(r.Rate)))
	if n := int(r.Count / stepBlocks); n > hop {
		hop = n
	}
	size := 2 * max(hop, int(stepBlock*float64(r.Rate))/2)
	b := stepBlocksOf(r.Rate, size, how)
	var x [][]float64
	buffer := make([]float64, 0, size)
	for block, err := range r.Blocks() {
		if err != nil {
			return nil, 0, err
		}
		for len(block) > 0 {
			k := min(len(block), size-len(buffer))
			buffer = append(buffer, block[:k]...)
			block = block[k:]
			if len(buffer) == size {
				x = append(x, b.levels(buffer))
				buffer = buffer[:copy(buffer, buffer[hop:])]
			}
		}
	}
	return x, float64(hop) / float64(r.Rate), nil
}

// blockLevels reads a windowed block's tone and noise.
type blockLevels struct {
	window, windowed []float64
	coefficients     []complex128
	tone, noise      []int // bins
	scale            float64
}

// stepBlocksOf prepares for blocks of a size. The tone is what lies within 60 Hz
// of where it is expected, or two bins; noise is the speech band without that
// and without harmonics, where they leave enough of it.
func stepBlocksOf(rate, size int, how job.Reading) *blockLevels {
	b := &blockLevels{window: make([]float64, size), windowed: make([]float64, size)}
	sum := 0.0
	for i := range b.window {
		b.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(size))
		sum += b.window[i] * b.window[i]
	}
	b.scale = 2 / (float64(size) * sum) // of |X|^2, so that bins add up to a mean square
	step := float64(rate) / float64(size)
	near := math.Max(60, 2.5*step)
	for k := 1; k < size/2; k++ {
		hz := float64(k) * step
		if hz < 300 || hz > math.Min(3400, 0.45*float64(rate)) {
			continue
		}
		order := math.Max(1, math.Round(hz/how.Tone()))
		switch off := math.Abs(hz - order*how.Tone()); {
		case order == 1 && off <= near:
			b.tone = append(b.tone, k)
		case off > 1.7*near:
			b.noise = append(b.noise, k)
		}
	}
	return b
}

func (b *blockLevels) levels(x []float64) []float64 {
	for i, v := range x {
		b.windowed[i] = v * b.window[i]
	}
	b.coefficients = spectrum.Forward(b.coefficients, b.windowed)
	return []float64{b.power(b.tone), b.power(b.noise)}
}

func (b *blockLevels) power(bins []int) float64 {
	sum := 0.0
	for _, k := range bins {
		c := b.coefficients[k]
		sum += real(c)*real(c) + imag(c)*imag(c)
	}
	return math.Max(silentDBFS, dbfs(math.Max(1e-30, sum*b.scale)))
}
