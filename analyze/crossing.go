package analyze

import (
	"math"
	"sort"

	"hisspoint/analyze/internal/curve"
	"hisspoint/analyze/internal/scatter"
)

// spot is a reading at a place on an axis.
type spot struct {
	x float64
	y Reading
}

// fallsTo is where a series that falls with x comes down to a threshold, with
// the 95 % interval that the scatter of the readings gives it (k = 1.96); it is
// the rising crossing of the axis turned round. Readings without a value count as
// below the threshold and are never interpolated: a place of theirs beside the
// crossing leaves none.
func fallsTo(name, unitName string, ps []spot, threshold float64) Reading {
	var turned []spot
	for _, p := range ps {
		turned = append(turned, spot{-p.x, p.y})
	}
	r := risesTo(name, unitName, turned, threshold)
	if r.OK() {
		r.Value, r.Low, r.High = -r.Value, -r.High, -r.Low
	}
	return r
}

// risesTo is where a series that rises with x reaches a threshold.
func risesTo(name, unitName string, ps []spot, threshold float64) Reading {
	c, why := crossingOf(ps, threshold)
	if why != "" {
		return none(name, unitName, why)
	}
	h := scatter.Normal95 * c.S
	return reading(name, unitName, c.X, c.X-h, c.X+h)
}

// crossingOf is where a series that rises with x reaches a threshold, or why there
// is no such place.
func crossingOf(ps []spot, threshold float64) (c curve.Crossing, why string) {
	var samples []curve.Sample
	missing := math.Inf(-1)
	for _, p := range ps {
		switch {
		case !p.y.OK():
			missing = math.Max(missing, p.x)
		case p.y.HasInterval():
			samples = append(samples, curve.Sample{X: p.x, Y: p.y.Value, S: standardError(p.y)})
		}
	}
	c, err := curve.Rising(samples, threshold)
	switch {
	case err == curve.ErrBelow && !math.IsInf(missing, 0):
		return c, besideNothing
	case err != nil:
		return c, err.Error()
	}
	below := math.Inf(-1)
	for _, s := range samples {
		if s.X <= c.X {
			below = math.Max(below, s.X)
		}
	}
	if missing >= below { // nothing is known between the place without a tone and the next
		return c, besideNothing
	}
	return c, ""
}

const besideNothing = "a reading beside the crossing has no tone: record a place between"

// sortDots puts points in the order of X.
func sortDots(ds []Dot) { sort.SliceStable(ds, func(i, j int) bool { return ds[i].X < ds[j].X }) }
