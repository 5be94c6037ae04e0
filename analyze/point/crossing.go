package point

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/curve"
	"hisspoint/analyze/internal/scatter"
)

// Spot is a reading at a place on an axis.
type Spot struct {
	X float64
	Y analyze.Reading
}

// FallsTo is where a series that falls with x comes down to a threshold, with
// the 95 % interval that the scatter of the readings gives it (k = 1.96); it is
// the rising crossing of the axis turned round. Readings without a value count as
// below the threshold and are never interpolated: a place of theirs beside the
// crossing leaves none.
func FallsTo(name, unitName string, ps []Spot, threshold float64) analyze.Reading {
	var turned []Spot
	for _, p := range ps {
		turned = append(turned, Spot{-p.X, p.Y})
	}
	r := risesTo(name, unitName, turned, threshold)
	if r.OK() {
		r.Value, r.Low, r.High = -r.Value, -r.High, -r.Low
	}
	return r
}

// risesTo is where a series that rises with x reaches a threshold.
func risesTo(name, unitName string, ps []Spot, threshold float64) analyze.Reading {
	c, why := Crossing(ps, threshold)
	if why != "" {
		return analyze.None(name, unitName, analyze.Why(why))
	}
	h := scatter.Normal95 * c.S
	return analyze.NewReading(name, unitName, c.X, c.X-h, c.X+h)
}

// Crossing is where a series that rises with x reaches a threshold, or why there
// is no such place.
func Crossing(ps []Spot, threshold float64) (c curve.Crossing, why string) {
	var samples []curve.Sample
	missing := math.Inf(-1)
	for _, p := range ps {
		switch {
		case !p.Y.OK():
			missing = math.Max(missing, p.X)
		case p.Y.HasInterval():
			samples = append(samples, curve.Sample{X: p.X, Y: p.Y.Value, S: analyze.StandardError(p.Y)})
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
