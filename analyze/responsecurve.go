package analyze

import (
	"fmt"
	"math"

	"hisspoint/analyze/internal/response"
	"hisspoint/analyze/internal/scatter"
)

// ResponseLevels are what was measured at some frequencies: deviations in dB from
// what they are held against, but for a constant.
type ResponseLevels struct {
	hz, dB  []float64
	sd      []float64   // of each alone; independent
	without [][]float64 // instead of sd: dB with one block of the recording left out each
	talkers bool        // the spread between talkers comes on top
	card    []float64   // dB, the card's own response where it is known; else nil
}

// levels compute with what was measured.
type levels ResponseLevels

// half is the half-width of the 95 % interval of a figure made of the levels.
func (l levels) half(w response.Weights) float64 {
	own := l.own(w)
	if !l.talkers {
		return own
	}
	return math.Hypot(own, scatter.Normal95*talkerSD(l.hz, w))
}

// own is that from the recording alone.
func (l levels) own(w response.Weights) float64 {
	if l.without == nil {
		return scatter.Normal95 * w.SD(l.sd)
	}
	values := make([]float64, len(l.without))
	for i, v := range l.without {
		values[i] = w.Of(v)
	}
	return scatter.StudentT(float64(len(values)-1), 0.95) * scatter.Jackknife(values)
}

// figure is a reading of the figure that weights make of the levels.
func (l levels) figure(name, unit string, w response.Weights, why string) Reading {
	if w == nil {
		return none(name, unit, why)
	}
	v, h := w.Of(l.dB), l.half(w)
	high, low := l.byCard(w)
	return reading(name, unit, v, v-h-high, v+h+low)
}

// byCard is by how many dB a figure reads too high at most by the card's own
// response, and too low. What a loop-back showed is that of the output and the
// input together, so of it the input has none to all.
func (l levels) byCard(w response.Weights) (high, low float64) {
	if l.card == nil {
		return 0, 0
	}
	own := w.Of(l.card)
	return math.Max(0, own), math.Max(0, -own)
}

// carded adds what is known of the card's response at the levels' frequencies.
func (r *listener) carded(l levels) levels {
	l.card = nil
	if q := r.How.Card; q != nil && len(q.Card.Response) > 0 && len(r.Files) > 0 && r.Files[0].Rate == q.Card.RateHz {
		for _, hz := range l.hz {
			l.card = append(l.card, q.Card.ResponseAt(hz))
		}
	}
	return l
}

// tilts are read between these frequencies.
const tiltLow, tiltHigh = 300, 3000

// balanceBands are the bands whose levels are told.
var balanceBands = [][2]float64{{300, 600}, {600, 1200}, {1200, 2400}}

// Names of the readings of a response.
const (
	Tilt     = "tilt"
	Balance  = "low_less_high"
	EdgeLow  = "edge_low"
	EdgeHigh = "edge_high"
)

// referenceSpan is how many octaves may lie between the neighbours of 1 kHz that
// stand for it.
const referenceSpan = 0.45

// toneLevel is one measured tone.
type toneLevel struct{ hz, dB, sd float64 }

// deviations takes the monitor's curve and the ideal out of measured tones, which
// rise in frequency.
func (r *listener) deviations(tones []toneLevel) levels {
	var l levels
	var beyond []float64
	for _, t := range tones {
		m, sd, ok := r.How.Monitor.at(t.hz)
		if !ok {
			beyond = append(beyond, t.hz)
			continue
		}
		l.hz = append(l.hz, t.hz)
		l.dB = append(l.dB, t.dB-m-ideal(r.How.Against, t.hz))
		l.sd = append(l.sd, math.Hypot(t.sd, sd))
	}
	if len(beyond) > 0 {
		r.warn("monitor-curve", "the monitor's curve does not reach "+hertz(beyond)+": left out")
	}
	return l
}

// hertz lists frequencies for people.
func hertz(hz []float64) string {
	const most = 6
	text := ""
	for i, f := range hz {
		switch {
		case i == most:
			return text + fmt.Sprintf(" Hz and %d more", len(hz)-most)
		case i > 0:
			text += ", "
		}
		text += fmt.Sprintf("%.0f", f)
	}
	return text + " Hz"
}

// shape fills in all that follows from the levels.
func (r *listener) shape(l levels) {
	l = r.carded(l)
	r.Levels = ResponseLevels(l)
	n := len(l.hz)
	reference := response.AtReference(l.hz, referenceSpan)
	if reference == nil {
		r.Why = "no tone at 1 kHz was found, nor any close to it on both sides: the response is relative to 1 kHz, so record one"
		return
	}
	base := reference.Of(l.dB)
	low, high := make([]float64, n), make([]float64, n)
	relative := make([]float64, n)
	for i, f := range l.hz {
		d := l.dB[i] - base
		w := response.One(n, i).Less(reference)
		h := l.half(w)
		if !finite(d) || !finite(h) {
			continue
		}
		tooHigh, tooLow := l.byCard(w)
		relative[i], low[i], high[i] = d, d-h-tooHigh, d+h+tooLow
		line := ideal(r.How.Against, f)
		r.Points = append(r.Points, ResponsePoint{Hz: f, DB: d + line, Low: low[i] + line, High: high[i] + line, Deviation: d, DevLow: low[i], DevHigh: high[i]})
	}
	r.Tilt = l.figure(Tilt, "dB/octave", response.Tilt(l.hz, tiltLow, tiltHigh), "the points do not span two octaves between 300 and 3000 Hz")
	r.bands(l, reference)
	r.edges(l.hz, relative, low, high)
	r.lean()
}

func (r *listener) bands(l levels, reference response.Weights) {
	var means []response.Weights
	for _, b := range balanceBands {
		w := response.Mean(l.hz, b[0], b[1])
		means = append(means, w)
		if w != nil {
			w = w.Less(reference)
		}
		name := fmt.Sprintf("band_%.0f_%.0f", b[0], b[1])
		r.Bands = append(r.Bands, BandLevel{b[0], b[1], l.figure(name, "dB", w, "the points do not reach over the band")})
	}
	var balance response.Weights
	if first, last := means[0], means[len(means)-1]; first != nil && last != nil {
		balance = first.Less(last)
	}
	r.Balance = l.figure(Balance, "dB", balance, "the points do not reach over the bands")
}

// edgeDrop is the fall, in dB, that marks the edges.
const edgeDrop = -3

// edges finds where the deviation falls through -3 dB; the interval is where the
// ends of the points' intervals do.
func (r *listener) edges(hz, dB, low, high []float64) {
	lo, hi := response.Edges(hz, dB, edgeDrop)
	loIn, hiIn := response.Edges(hz, low, edgeDrop)
	loOut, hiOut := response.Edges(hz, high, edgeDrop)
	of := func(name string, v, a, b float64) Reading {
		switch {
		case v == 0:
			return none(name, "Hz", "no fall by 3 dB between the tones")
		case a == 0 || b == 0:
			return exact(name, "Hz", v, "the interval reaches beyond the tones")
		}
		return reading(name, "Hz", v, math.Min(v, a), math.Max(v, b))
	}
	r.EdgeLow = of(EdgeLow, lo, loOut, loIn)
	r.EdgeHigh = of(EdgeHigh, hi, hiIn, hiOut)
}

// ResponseMask bounds the deviation between two frequencies, in dB.
type ResponseMask struct {
	Name          string
	LowHz, HighHz float64
	Upper, Lower  float64
	Source        string
}

// LandMobileMask is the mask of land-mobile FM sets, receiver and transmitter
// alike: +1/-3 dB from 300 to 3000 Hz relative to 1 kHz, after TIA-603 2.1.10 and
// 2.2.6, from memory.
var LandMobileMask = ResponseMask{Name: "+1/-3 dB, 300 to 3000 Hz", LowHz: 300, HighHz: 3000, Upper: 1, Lower: -3, Source: "TIA-603 2.1.10, 2.2.6 (from memory)"}

// Outcomes of a mask, as those of limits.
const (
	MaskInside    = "pass"
	MaskOutside   = "fail"
	MaskUndecided = "undecided"
	MaskNotJudged = "not-judged"
)

// MaskResult is what a mask says of a response.
type MaskResult struct {
	Mask    ResponseMask
	Outcome string
	Why     string  // of not-judged and undecided, for people
	WorstDB float64 // deviation that lies furthest out, or nearest to a bound
	WorstHz float64
}

// maskGap is how many octaves may lie between two points for a mask to be judged.
const maskGap = 0.45

// mask holds the points against a mask: outside if the whole interval of one is,
// inside if the whole intervals of all are. At the mask's ends a straight line
// between the points on both sides stands for a point that is not there.
func (r *listener) mask(m ResponseMask) {
	out := MaskResult{Mask: m, Outcome: MaskInside}
	worst := math.Inf(1)
	points := r.maskPoints(m)
	for _, p := range points {
		if margin := math.Min(m.Upper-p.Deviation, p.Deviation-m.Lower); margin < worst {
			worst, out.WorstDB, out.WorstHz = margin, p.Deviation, p.Hz
		}
		switch {
		case p.DevLow > m.Upper || p.DevHigh < m.Lower:
			out.Outcome = MaskOutside
		case (p.DevHigh > m.Upper || p.DevLow < m.Lower) && out.Outcome != MaskOutside:
			out.Outcome, out.Why = MaskUndecided, "an interval reaches over the mask's edge"
		}
	}
	switch {
	case len(points) == 0:
		return
	case out.Outcome == MaskOutside:
		out.Why = ""
	case !covers(points, m):
		out.Outcome, out.Why = MaskNotJudged, "the points do not reach over all of it"
	}
	r.Mask = &out
}

// maskPoints are the points between the mask's ends, and those on the ends.
func (r ResponseResult) maskPoints(m ResponseMask) []ResponsePoint {
	var out []ResponsePoint
	for i, p := range r.Points {
		if i > 0 {
			for _, end := range []float64{m.LowHz, m.HighHz} {
				before := r.Points[i-1]
				if before.Hz < end*(1-atEnd) && p.Hz > end*(1+atEnd) && math.Log2(p.Hz/before.Hz) <= maskGap {
					out = append(out, between(before, p, end))
				}
			}
		}
		if p.Hz >= m.LowHz*(1-atEnd) && p.Hz <= m.HighHz*(1+atEnd) {
			out = append(out, p)
		}
	}
	return out
}

// atEnd is the share of a frequency by which a tone may miss a mask's end.
const atEnd = 0.005

func between(a, b ResponsePoint, hz float64) ResponsePoint {
	u := math.Log(hz/a.Hz) / math.Log(b.Hz/a.Hz)
	mix := func(x, y float64) float64 { return x + u*(y-x) }
	return ResponsePoint{Hz: hz, Deviation: mix(a.Deviation, b.Deviation), DevLow: mix(a.DevLow, b.DevLow), DevHigh: mix(a.DevHigh, b.DevHigh)}
}

// covers tells whether points, which rise, reach over a mask without a gap.
func covers(points []ResponsePoint, m ResponseMask) bool {
	if points[0].Hz > m.LowHz*(1+atEnd) || points[len(points)-1].Hz < m.HighHz*(1-atEnd) {
		return false
	}
	for i := 1; i < len(points); i++ {
		if math.Log2(points[i].Hz/points[i-1].Hz) > maskGap {
			return false
		}
	}
	return true
}
