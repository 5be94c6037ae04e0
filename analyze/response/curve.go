package response

import (
	"fmt"
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/audio"
	"hisspoint/analyze/internal/scatter"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// levels compute with what was measured.
type levels analyze.ResponseLevels

// half is the half-width of the 95 % interval of a figure made of the levels.
func (l levels) half(w audio.Weights) float64 {
	own := l.own(w)
	own = math.Hypot(own, scatter.Normal95*l.Bench*unevenness(l.Hz, w))
	if !l.Talkers {
		return own
	}
	return math.Hypot(own, scatter.Normal95*talkerSD(l.Hz, w))
}

// unevenness is what a response that is off by 1 dB at 300 Hz, and as much at 3000 Hz,
// straight over the logarithm of the frequency from none at 1 kHz, makes of a figure in dB:
// either way at both ends, so the larger of a tilt and a bow.
func unevenness(hz []float64, w audio.Weights) float64 {
	low, high := 0.0, 0.0
	for i, f := range hz {
		if o := audio.Octaves(f); o < 0 {
			low += w[i] * math.Min(mostUneven, o/audio.Octaves(tiltLow))
		} else {
			high += w[i] * math.Min(mostUneven, o/audio.Octaves(tiltHigh))
		}
	}
	return math.Abs(low) + math.Abs(high)
}

// mostUneven is how many times its deviation at 300 or 3000 Hz a response may be off
// further out.
const mostUneven = 2

// own is that from the recording alone.
func (l levels) own(w audio.Weights) float64 {
	if l.Without == nil {
		return scatter.Normal95 * w.SD(l.SD)
	}
	values := make([]float64, len(l.Without))
	for i, v := range l.Without {
		values[i] = w.Of(v)
	}
	return scatter.StudentT(float64(len(values)-1), 0.95) * scatter.Jackknife(values)
}

// figure is a reading of the figure that weights make of the levels.
func (l levels) figure(name, unit string, w audio.Weights, why analyze.Why) analyze.Reading {
	if w == nil {
		return analyze.None(name, unit, why)
	}
	v, h := w.Of(l.DB), l.half(w)
	high, low := l.byCard(w)
	return analyze.NewReading(name, unit, v, v-h-high, v+h+low)
}

// byCard is by how many dB a figure may read too high, and too low, for the card's own
// response. A loop-back shows output and input together, and the input's share of what
// it shows lies anywhere between nothing and all.
func (l levels) byCard(w audio.Weights) (high, low float64) {
	if l.Card == nil {
		return 0, 0
	}
	own := w.Of(l.Card)
	return math.Max(0, own), math.Max(0, -own)
}

// carded adds what is known of the card's response at the levels' frequencies.
func (r *listener) carded(l levels) levels {
	l.Card = nil
	if q := r.How.Card; q != nil && len(q.Card.Response) > 0 && len(r.Files) > 0 && r.Files[0].Rate == q.Card.RateHz {
		for _, hz := range l.Hz {
			l.Card = append(l.Card, q.Card.ResponseAt(hz))
		}
	}
	return l
}

// tilts are read between these frequencies.
const tiltLow, tiltHigh = 300, 3000

// balanceBands are the bands whose levels are told.
var balanceBands = [][2]float64{{300, 600}, {600, 1200}, {1200, 2400}}

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
		m, sd, ok := r.How.Monitor.At(t.hz)
		if !ok {
			beyond = append(beyond, t.hz)
			continue
		}
		l.Hz = append(l.Hz, t.hz)
		l.DB = append(l.DB, t.dB-m-analyze.Ideal(r.How.Against, t.hz))
		l.SD = append(l.SD, math.Hypot(t.sd, sd))
	}
	if len(beyond) > 0 {
		r.warn(capture.MonitorCurve, note.Of("monitor-curve", note.Tones(beyond)))
	}
	return l
}

// shape fills in all that follows from the levels.
func (r *listener) shape(l levels) {
	l = r.carded(l)
	l.Bench = r.How.BenchDB
	r.Levels = analyze.ResponseLevels(l)
	n := len(l.Hz)
	reference := audio.AtReference(l.Hz, referenceSpan)
	if reference == nil {
		r.Why = "no tone at 1 kHz was found, nor any close to it on both sides: the response is relative to 1 kHz, so record one"
		return
	}
	base := reference.Of(l.DB)
	low, high := make([]float64, n), make([]float64, n)
	relative := make([]float64, n)
	for i, f := range l.Hz {
		d := l.DB[i] - base
		w := audio.One(n, i).Less(reference)
		h := l.half(w)
		if !analyze.Finite(d) || !analyze.Finite(h) {
			continue
		}
		tooHigh, tooLow := l.byCard(w)
		relative[i], low[i], high[i] = d, d-h-tooHigh, d+h+tooLow
		line := analyze.Ideal(r.How.Against, f)
		r.Points = append(r.Points, analyze.ResponsePoint{Hz: f, DB: d + line, Low: low[i] + line, High: high[i] + line, Deviation: d, DevLow: low[i], DevHigh: high[i]})
	}
	r.Tilt = l.figure(job.FigureTilt, "dB/octave", audio.Tilt(l.Hz, tiltLow, tiltHigh), "the points do not span two octaves between 300 and 3000 Hz")
	r.bands(l, reference)
	r.edges(l.Hz, relative, low, high)
	r.lean()
}

func (r *listener) bands(l levels, reference audio.Weights) {
	var means []audio.Weights
	for _, b := range balanceBands {
		w := audio.Mean(l.Hz, b[0], b[1])
		means = append(means, w)
		if w != nil {
			w = w.Less(reference)
		}
		name := fmt.Sprintf("band_%.0f_%.0f", b[0], b[1])
		r.Bands = append(r.Bands, analyze.BandLevel{FromHz: b[0], ToHz: b[1], Level: l.figure(name, "dB", w, "the points do not reach over the band")})
	}
	var balance audio.Weights
	if first, last := means[0], means[len(means)-1]; first != nil && last != nil {
		balance = first.Less(last)
	}
	r.Balance = l.figure(job.FigureBalance, "dB", balance, "the points do not reach over the bands")
}

// edgeDrop is the fall, in dB, that marks the edges.
const edgeDrop = -3

// edges finds where the deviation falls through -3 dB; the interval is where the
// ends of the points' intervals do.
func (r *listener) edges(hz, dB, low, high []float64) {
	lo, hi := audio.Edges(hz, dB, edgeDrop)
	loIn, hiIn := audio.Edges(hz, low, edgeDrop)
	loOut, hiOut := audio.Edges(hz, high, edgeDrop)
	of := func(name string, v, a, b float64) analyze.Reading {
		switch {
		case v == 0:
			return analyze.None(name, "Hz", "no fall by 3 dB between the tones")
		case a == 0 || b == 0:
			return analyze.Exact(name, "Hz", v, "the interval reaches beyond the tones")
		}
		return analyze.NewReading(name, "Hz", v, math.Min(v, a), math.Max(v, b))
	}
	r.EdgeLow = of(job.FigureEdgeLow, lo, loOut, loIn)
	r.EdgeHigh = of(job.FigureEdgeHigh, hi, hiIn, hiOut)
}

// mask holds the points against a mask: outside if the whole interval of one is,
// inside if the whole intervals of all are. At the mask's ends a straight line
// between the points on both sides stands for a point that is not there.
func (r *listener) mask(m analyze.ResponseMask) {
	out := analyze.MaskResult{Mask: m, Outcome: analyze.MaskInside}
	worst := math.Inf(1)
	points := r.MaskPoints(m)
	for _, p := range points {
		if margin := math.Min(m.Upper-p.Deviation, p.Deviation-m.Lower); margin < worst {
			worst, out.WorstDB, out.WorstHz = margin, p.Deviation, p.Hz
		}
		switch {
		case p.DevLow > m.Upper || p.DevHigh < m.Lower:
			out.Outcome = analyze.MaskOutside
		case (p.DevHigh > m.Upper || p.DevLow < m.Lower) && out.Outcome != analyze.MaskOutside:
			out.Outcome, out.Why = analyze.MaskUndecided, "an interval reaches over the mask's edge"
		}
	}
	switch {
	case len(points) == 0:
		return
	case out.Outcome == analyze.MaskOutside:
		out.Why = ""
	case !covers(points, m):
		out.Outcome, out.Why = analyze.MaskNotJudged, "the points do not reach over all of it"
	}
	r.Mask = &out
}

// covers tells whether points, which rise, reach over a mask without a gap.
func covers(points []analyze.ResponsePoint, m analyze.ResponseMask) bool {
	if points[0].Hz > m.LowHz*(1+analyze.AtEnd) || points[len(points)-1].Hz < m.HighHz*(1-analyze.AtEnd) {
		return false
	}
	for i := 1; i < len(points); i++ {
		if math.Log2(points[i].Hz/points[i-1].Hz) > analyze.MaskGap {
			return false
		}
	}
	return true
}
