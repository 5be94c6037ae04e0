package kind

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/scatter"
	"hisspoint/analyze/point"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// inputFor60 is the input at which the deviation reaches 60 % of the rated one,
// on a scale of dB, on which the climb to it is nearly straight. What the reference
// may be off moves all readings alike, and so the input by its dB over the slope.
func (l *limiter) inputFor60() analyze.Reading {
	var ps []point.Spot
	for _, p := range l.own {
		ps = append(ps, point.Spot{X: p.X, Y: inDB(p.Y)})
	}
	target := 20 * math.Log10(standardShare*l.rated)
	c, why := point.Crossing(risingPart(ps, target), target)
	if why != "" {
		return analyze.None(job.FigureInputFor60, "dB", analyze.Because("the deviation does not pass %.0f Hz between two inputs: record one below and one above", standardShare*l.rated))
	}
	shared := 20 * math.Log10(1+l.m.spread) / math.Max(c.Slope, leastSlope)
	h := scatter.Normal95 * math.Hypot(math.Hypot(c.Own, shared), climbs(ps, c.X, target))
	r := analyze.NewReading(job.FigureInputFor60, "dB", c.X, c.X-h, c.X+h)
	r.Common = 20 * math.Log10(1+l.m.common) / math.Max(c.Slope, leastSlope)
	return r
}

// climbs is the standard uncertainty of an input from how the deviation may run
// between the two recordings beside it. It rises by no more than its input: so it
// reaches the target no sooner than at one dB a dB from the lower, and no later than
// at one dB a dB up to the upper. In between no place is likelier.
func climbs(ps []point.Spot, at, target float64) float64 {
	soonest, latest := math.Inf(-1), math.Inf(1)
	for _, p := range ps {
		switch meets := p.X + target - p.Y.Value; {
		case !p.Y.OK():
		case p.X <= at:
			soonest = math.Max(soonest, meets)
		default:
			latest = math.Min(latest, meets)
		}
	}
	return math.Max(0, latest-soonest) / math.Sqrt(12)
}

// leastSlope, in dB a dB, is that of a climb which is one no more: nothing can be
// read off a limiter that holds already.
const leastSlope = 0.05

// risingPart leaves out what lies behind the first reading above a threshold:
// there the limiter holds, and the curve no longer rises.
func risingPart(ps []point.Spot, threshold float64) []point.Spot {
	first := math.Inf(1)
	for _, p := range ps {
		if p.Y.OK() && p.Y.Value >= threshold {
			first = math.Min(first, p.X)
		}
	}
	var out []point.Spot
	for _, p := range ps {
		if p.X <= first {
			out = append(out, p)
		}
	}
	return out
}

// inDB is a reading as 20 log10 of itself.
func inDB(r analyze.Reading) analyze.Reading {
	if !r.OK() || r.Value <= 0 {
		return analyze.None(r.Name, "dB", "no value")
	}
	v := 20 * math.Log10(r.Value)
	if !r.HasInterval() || r.Low <= 0 {
		return analyze.Exact(r.Name, "dB", v, "no interval")
	}
	return analyze.NewReading(r.Name, "dB", v, 20*math.Log10(r.Low), 20*math.Log10(r.High))
}

// beside is how far below the input that is asked for the highest one recorded may
// lie, in dB, where none lies above it.
const beside = 1.0

// raised is the deviation at an input 20 dB above that for 60 %, and where it was
// read. It is drawn in dB between the two recordings beside that input. Deviation
// rises by no more than its input does, and between two inputs it lies between
// theirs, which bounds it however the limiter bends in between; so does the input's
// own uncertainty. If no recording lies above, that within 1 dB below stands for it,
// and its interval reaches up as far as a limiter that does not limit would.
func (l *limiter) raised(input analyze.Reading) (r analyze.Reading, where note.Note) {
	if !input.OK() {
		return analyze.None(job.FigureLimited, "Hz", "the input for 60 % is not known"), where
	}
	at, lo, hi := input.Value+raisedBy, input.Low+raisedBy, input.High+raisedBy
	var below, above *point.Spot
	for i := range l.ps {
		p := &l.ps[i]
		switch {
		case !p.Y.OK():
		case p.X <= at && (below == nil || p.X > below.X):
			below = p
		case p.X >= at && (above == nil || p.X < above.X):
			above = p
		}
	}
	if below == nil || above == nil && at-below.X > beside {
		return analyze.None(job.FigureLimited, "Hz", analyze.Because("no input of %.1f dB was recorded, nor one above it", at)), where
	}
	if above == nil {
		where = note.Of("limited-above", note.DB(at), note.DB(below.X))
		return bounded(below.Y.Value, below.Y.Low, below.Y.High*rise(hi-below.X), *below), where
	}
	where = note.Of("limited-between", note.DB(at), note.DB(below.X), note.DB(above.X))
	k := (at - below.X) / (above.X - below.X)
	value := math.Pow(below.Y.Value, 1-k) * math.Pow(above.Y.Value, k)
	low := math.Max(below.Y.Low/rise(below.X-lo), above.Y.Low/rise(above.X-lo))
	high := math.Min(below.Y.High*rise(hi-below.X), above.Y.High*rise(hi-above.X))
	if above.Y.Value < below.Y.Value { // it falls: an overdriven stage
		low, high = math.Min(below.Y.Low, above.Y.Low), math.Max(below.Y.High, above.Y.High)
	}
	return bounded(value, low, high, *below, *above), where
}

// rise is the largest factor by which deviation goes up with so many dB of input.
func rise(db float64) float64 { return math.Pow(10, math.Max(0, db)/20) }

// bounded is the deviation 20 dB up with its bounds, without them where the
// readings beside it have none.
func bounded(value, low, high float64, from ...point.Spot) analyze.Reading {
	for _, p := range from {
		if !p.Y.HasInterval() {
			return analyze.Exact(job.FigureLimited, "Hz", value, "the readings beside it have no interval")
		}
	}
	return analyze.NewReading(job.FigureLimited, "Hz", value, math.Min(value, low), math.Max(value, high))
}
