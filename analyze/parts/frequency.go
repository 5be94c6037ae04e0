package parts

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"hisspoint/analyze/internal/segment"
	"hisspoint/analyze/internal/spectrum"
	"hisspoint/analyze/internal/track"
	"hisspoint/capture"
)

// FrequencyPart is a plateau that holds one tone.
type FrequencyPart struct {
	Part
	Hz       float64 // of the tone, to about 0.2 %
	Expected float64 // the frequency of the list that it stands for; 0: there is no list
}

const (
	frequencyMin    = 0.35  // s, shortest tone
	frequencyMargin = 0.1   // s left out at either end of one: no contacts are heard between them
	frequencyFloor  = 0.003 // octaves of scatter that a frequency may have for free
	frequencyChange = 0.03  // octaves by which frequencies differ
	frequencyStill  = 0.015 // octaves of scatter up to which a peak is a tone
	frequencyClear  = -7    // dB, share of a block's power from which on a peak is a tone
	frequencyOff    = 0.05  // octaves by which a tone may be off its place in the list
	frequencyFaint  = 25    // dB under the median tone at which what is not listed is none
	clearFloor      = 1     // dB of scatter that the share may have for free
	clearChange     = 6
)

// FrequencySteps finds the tones of a recording in which the frequency was
// stepped, in the order of time, pauses or none between them. expected lists
// the frequencies in Hz in their order; each tone then stands for one of them,
// and one that is too weak to be heard is left out. Without a list all tones
// are returned. A tone that is not listed, or out of order, gives an error
// that wraps ErrSteps, with the tones found. Domain: tones of 0.5 s or more,
// 3 % or more apart, from 80 Hz to 0.45 of the sample rate, that hold at least a
// fifth of the power there.
func FrequencySteps(r capture.Recording, expected []float64) ([]FrequencyPart, error) {
	p := &peaks{low: 80, high: 0.45 * float64(r.Rate), rate: float64(r.Rate)}
	for i, hz := range expected {
		if hz <= 0 || hz > p.high {
			return nil, fmt.Errorf("%s: a tone of %g Hz cannot be in a recording of %d samples a second", r.Origin.File, hz, r.Rate)
		}
		if i == 0 || hz/1.25 < p.low {
			p.low = hz / 1.25
		}
	}
	b, err := eachBlock(r, p.add)
	if err != nil {
		return nil, err
	}
	b.x, b.tone = p.x, p.level
	min := b.blocks(frequencyMin)
	if min > len(b.x) {
		return nil, fmt.Errorf("%s: is %.1f s long, too short for steps: leave 1 s for each tone", r.Origin.File, r.Seconds())
	}
	cut, _ := segment.Find(b.x, segment.Options{Min: min, Most: 2 * Most,
		Floor: []float64{frequencyFloor, clearFloor}, Least: []float64{frequencyChange, clearChange}})
	found := b.tones(cut)
	if len(expected) == 0 {
		return found, nil
	}
	found, why := listed(found, expected)
	if why != "" {
		return found, fmt.Errorf("%s: %w: %s", r.Origin.File, ErrSteps, why)
	}
	return found, nil
}

// peaks describes blocks by their strongest peak: its frequency in octaves
// above 1 Hz and its share of the power, dB.
type peaks struct {
	low, high, rate  float64
	window, windowed []float64
	coefficients     []complex128
	x                [][]float64
	level            []float64 // dBFS of the peak
}

func (p *peaks) add(block []float64) {
	if len(p.window) != len(block) {
		p.window, p.windowed = stepWindow(len(block)), make([]float64, len(block))
	}
	mean := 0.0
	for _, v := range block {
		mean += v / float64(len(block))
	}
	for i, v := range block {
		p.windowed[i] = (v - mean) * p.window[i]
	}
	p.coefficients = spectrum.Forward(p.coefficients, p.windowed)
	c := p.coefficients
	step := p.rate / float64(len(block))
	from, to := max(2, int(p.low/step)), min(len(c)-3, int(p.high/step)+1)
	best, total := from, 1e-30
	for k := from; k <= to; k++ {
		total += squared(c[k])
		if squared(c[k]) > squared(c[best]) {
			best = k
		}
	}
	peak := 1e-30
	for k := best - 2; k <= best+2; k++ {
		peak += squared(c[k])
	}
	// A tone between bins k and k+1 of a Hann window's transform has the ratio
	// (1+d)/(2-d) between them, d bins above k.
	side, sign := best+1, 1.0
	if squared(c[best-1]) > squared(c[best+1]) {
		side, sign = best-1, -1
	}
	a := cmplx.Abs(c[side]) / math.Max(cmplx.Abs(c[best]), 1e-30)
	d := math.Max(-0.5, math.Min(1, (2*a-1)/(1+a)))
	hz := (float64(best) + sign*d) * step
	n := float64(len(block))
	p.x = append(p.x, []float64{math.Log2(hz), math.Max(-30, math.Min(0, 10*math.Log10(peak/total)))})
	p.level = append(p.level, stepLevel(2*peak/(n*n*0.375)))
}

func squared(c complex128) float64 { return real(c)*real(c) + imag(c)*imag(c) }

// tones are the stretches of a cut that hold a tone.
func (b blocked) tones(c segment.Cut) []FrequencyPart {
	var out []FrequencyPart
	for i, p := range b.times(c, frequencyMargin) {
		s := c.Stretches[i]
		hz, scatter := segment.Middle(b.x, s, 0)
		share, _ := segment.Middle(b.x, s, 1)
		if s.Len() < 2 || scatter > frequencyStill || share < frequencyClear {
			continue
		}
		p.Tone, p.Noise = track.Median(b.tone[s.From:s.To]), silentDBFS
		out = append(out, FrequencyPart{Part: p, Hz: math.Exp2(hz)})
	}
	return out
}

// listed gives each tone its frequency of the list. why says what does not fit.
func listed(found []FrequencyPart, expected []float64) (out []FrequencyPart, why string) {
	var levels []float64
	var list []string
	for _, f := range found {
		levels = append(levels, f.Tone)
		list = append(list, fmt.Sprintf("%.1f to %.1f s %.0f Hz", f.From, f.To, f.Hz))
	}
	faint := track.Median(levels) - frequencyFaint
	next := 0
	for _, f := range found {
		k := next
		for k < len(expected) && math.Abs(math.Log2(f.Hz/expected[k])) > frequencyOff {
			k++
		}
		switch {
		case k < len(expected):
			f.Expected, next = expected[k], k+1
			out = append(out, f)
		case f.Tone > faint:
			return found, fmt.Sprintf("the tone of %.0f Hz at %.1f s is not listed, or not in the order of the list; found: %s", f.Hz, f.From, strings.Join(list, ", "))
		}
	}
	if 2*len(out) < len(expected) {
		return found, fmt.Sprintf("%d tones are listed and %d of them were found; found: %s", len(expected), len(out), strings.Join(list, ", "))
	}
	return out, ""
}
