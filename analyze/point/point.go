// Package point is where a series crosses a threshold: the point with its interval, the
// reason why there is none, and the level to record next. It must not know recordings
// or kinds of tests: levels and readings are all it sees.
package point

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/curve"
	"hisspoint/analyze/internal/scatter"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Place gives each row its level at the set, puts the weakest first and tells the
// scale of the levels.
func Place(rows []analyze.Used, path job.RFPath) (scale unit.Scale, err error) {
	absolute, relative := "", ""
	for i := range rows {
		l := rows[i].Take.Level
		switch l.Scale {
		case unit.Absolute:
			absolute = rows[i].Take.File
			l = l.Add(-path.PadDB)
			if l.DB < -200 || l.DB > 60 {
				return scale, fmt.Errorf("%s: %.0f dBm at the set is not a level of a bench: check the level and the pad of %g dB", absolute, l.DB, path.PadDB)
			}
		case unit.Relative:
			relative = rows[i].Take.File
			scale = unit.Relative
		}
		rows[i].Level = l
	}
	if absolute != "" && relative != "" {
		return scale, fmt.Errorf("%s has a level in dB only and %s an absolute one: give all levels in µV or dBm, or all in dB", relative, absolute)
	}
	sort.SliceStable(rows, func(i, j int) bool {
		a, b := rows[i].Level, rows[j].Level
		if (a.Scale == unit.Off) != (b.Scale == unit.Off) {
			return a.Scale == unit.Off
		}
		return a.Scale != unit.Off && a.DB < b.DB
	})
	return scale, nil
}

// Of finds the crossing and its interval. Where the series contradicts itself (see
// Contradictions), the interval reaches as far as the crossing without any of the levels
// in doubt.
func Of(rows []analyze.Used, c job.Criterion, path job.RFPath, mode string, hiss *analyze.Used) analyze.Point {
	var samples, loose []curve.Sample
	missing, noInterval := math.Inf(-1), ""
	scale, places, sure := unit.Absolute, map[float64]bool{}, map[float64]bool{}
	for _, r := range rows {
		if r.Level.Scale == unit.Off {
			continue
		}
		scale = r.Level.Scale
		places[r.Level.DB] = true
		switch w := r.Get(c.Quantity); {
		case !w.OK():
			missing = math.Max(missing, r.Level.DB)
		case !w.HasInterval():
			noInterval = w.NoInterval
			loose = append(loose, curve.Sample{X: r.Level.DB, Y: w.Value})
		default:
			sure[r.Level.DB] = true
			samples = append(samples, curve.Sample{X: r.Level.DB, Y: w.Value, S: analyze.StandardError(w)})
		}
	}
	// A reading too short for an interval must not outweigh those that have one.
	if len(sure) >= 2 {
		noInterval = ""
	} else {
		samples = append(samples, loose...)
	}
	p := analyze.Point{Level: unit.Level{Scale: scale}}
	if len(places) < 2 {
		p.Status, p.Why = analyze.TooFew, "a point needs readings at two levels at least: record one more level on the other side of the criterion"
		return p
	}
	x, err := courseOf(mode).Rising(samples, c.Value)
	if err != nil {
		noPoint(&p, err, samples, missing, c)
		return p
	}
	if why, multiple := gap(samples, missing, x.X, c); why != "" {
		p.Status, p.Why = analyze.TooFew, why
		if multiple {
			p.Status = analyze.Multiple
		}
		return p
	}
	p.Status, p.Slope = analyze.Found, x.Slope
	p.Level.DB = x.X
	between := math.Sqrt(math.Max(0, x.S*x.S-x.Own*x.Own))
	if hiss != nil && c.Quantity == job.QuantityQuieting && x.Slope > 0 {
		// The hiss is the same in every row, so its error moves the whole series.
		if h := hiss.Measured.Get(analyze.NoiseLevel); h.HasInterval() {
			x.S = math.Hypot(x.S, analyze.StandardError(h)/x.Slope)
		}
	}
	p.NoInterval = noInterval
	p.Shares = []analyze.Share{{Name: analyze.ShareReadings, DB: math.Sqrt(math.Max(0, x.S*x.S-between*between))}, {Name: analyze.ShareBetween, DB: between}}
	side := within(sides(rows, c, x, mode), rows, c, x.X)
	for _, off := range doubted(samples, mode) {
		others := slices.DeleteFunc(slices.Clone(samples), func(s curve.Sample) bool { return math.Abs(s.X-off) < 1e-6 })
		if without, err := courseOf(mode).Rising(others, c.Value); err == nil {
			side[0] = math.Max(side[0], (x.X-without.X)/scatter.Normal95+without.S)
			side[1] = math.Max(side[1], (without.X-x.X)/scatter.Normal95+without.S)
		}
	}
	if most := math.Max(side[0], side[1]); most < x.S {
		p.Shares[1].DB = math.Sqrt(math.Max(0, most*most-p.Shares[0].DB*p.Shares[0].DB))
		p.Shares[0].DB = math.Min(p.Shares[0].DB, most)
	}
	join95(&p, side, path, scale)
	return p
}

// courseOf is how the curve of a set runs between two levels.
func courseOf(mode string) curve.Course {
	if mode == job.AM || mode == job.SSB {
		return curve.Linear
	}
	return curve.FM
}

// within keeps the point's sides between the levels whose readings lie significantly on
// either side of the criterion: with their whole intervals, taken half as wide again, so
// that hardly one in 300 lies on the wrong side by chance.
func within(side [2]float64, rows []analyze.Used, c job.Criterion, x float64) [2]float64 {
	const wider = 1.5
	low, high := math.Inf(-1), math.Inf(1)
	for _, r := range rows {
		w := r.Get(c.Quantity)
		if r.Level.Scale == unit.Off || !w.HasInterval() {
			continue
		}
		switch {
		case r.Level.DB < x && w.Value+wider*(w.High-w.Value) < c.Value:
			low = math.Max(low, r.Level.DB)
		case r.Level.DB > x && w.Value-wider*(w.Value-w.Low) > c.Value:
			high = math.Min(high, r.Level.DB)
		}
	}
	return [2]float64{math.Min(side[0], (x-low)/scatter.Normal95), math.Min(side[1], (high-x)/scatter.Normal95)}
}

// sides are the point's standard errors downwards and upwards. Few clicks leave a
// reading's interval longer on the side of less SINAD, which is that of a higher
// point. Each side follows to three quarters from that side of the readings and to one
// from both: the outermost ends of several readings seldom coincide, and simulated
// series show the truth beyond either end equally often then.
func sides(rows []analyze.Used, c job.Criterion, x curve.Crossing, mode string) [2]float64 {
	out := [2]float64{x.S, x.S}
	for side := range out {
		var samples []curve.Sample
		for _, r := range rows {
			w := r.Get(c.Quantity)
			if r.Level.Scale == unit.Off || !w.HasInterval() {
				continue
			}
			e := w.High - w.Value
			if side == 1 {
				e = w.Value - w.Low
			}
			samples = append(samples, curve.Sample{X: r.Level.DB, Y: w.Value, S: e / scatter.Normal95})
		}
		if one, err := courseOf(mode).Rising(samples, c.Value); err == nil && math.Abs(one.X-x.X) < x.S {
			own := (x.Own + 3*one.Own) / 4
			out[side] = math.Sqrt(math.Max(0, x.S*x.S-x.Own*x.Own) + own*own)
		}
	}
	return out
}

// gap says why a crossing at x does not count: a level without a tone, which is
// worse than the criterion, lies beside it or above.
func gap(samples []curve.Sample, missing, x float64, c job.Criterion) (why string, multiple bool) {
	below, above := math.Inf(-1), math.Inf(1)
	for _, s := range samples {
		if s.X <= x {
			below = math.Max(below, s.X)
		} else {
			above = math.Min(above, s.X)
		}
	}
	switch {
	case missing < below:
		return "", false
	case missing < above:
		return "a level beside the crossing of " + c.Label() + " has no tone: record it again, or a level between", false
	}
	return strongWithoutTone, true
}

const strongWithoutTone = "a stronger signal has no tone while a weaker one has: check that the modulation was on"

// join95 joins the contributions into the interval, whose sides have a standard
// error of the readings each.
func join95(p *analyze.Point, side [2]float64, path job.RFPath, scale unit.Scale) {
	own := len(p.Shares) // those that the sides hold already
	if scale == unit.Absolute {
		if path.LevelUncertainty != nil {
			p.Shares = append(p.Shares, analyze.Share{Name: "generator", DB: *path.LevelUncertainty / math.Sqrt(3)})
		} else {
			p.NotStated = append(p.NotStated, "generator")
			p.Shares = append(p.Shares, analyze.Share{Name: "generator", DB: 0})
		}
		p.Shares = append(p.Shares, analyze.Share{Name: "pad", DB: path.PadUncertaintyDB / math.Sqrt(3)})
	}
	sum := 0.0
	for _, s := range p.Shares[own:] {
		sum += s.DB * s.DB
	}
	p.Low = p.Level.DB - scatter.Normal95*math.Sqrt(sum+side[0]*side[0])
	p.High = p.Level.DB + scatter.Normal95*math.Sqrt(sum+side[1]*side[1])
	if p.NoInterval != "" || !analyze.Finite(p.High-p.Low) {
		p.Low, p.High = 0, 0
		if p.NoInterval == "" {
			p.NoInterval = "the readings give no interval"
		}
	}
}

// noPoint says why there is no crossing.
func noPoint(p *analyze.Point, err error, samples []curve.Sample, missing float64, c job.Criterion) {
	lowest, highest := math.Inf(1), missing
	for _, s := range samples {
		lowest = math.Min(lowest, s.X)
		highest = math.Max(highest, s.X)
	}
	what := c.Label()
	switch {
	case errors.Is(err, curve.ErrMultiple) && len(samples) == 2:
		p.Status, p.Why = analyze.Multiple, what+" is met at the weaker level and not at the stronger: look whether the two were swapped"
	case errors.Is(err, curve.ErrMultiple):
		p.Status, p.Why = analyze.Multiple, what+" is crossed more than once: look for a wrong level, a fault or interference, and record the doubtful levels again"
	case len(samples) == 0 && c.Quantity == job.QuantitySINAD:
		p.Status, p.Why = analyze.AboveRange, "no recording has the tone: check that the modulation was on and which tone it was (--tone)"
		p.Level.DB = highest
	case len(samples) == 0 || errors.Is(err, curve.ErrAbove) || (errors.Is(err, curve.ErrFew) && samples[0].Y < c.Value):
		p.Status, p.Why = analyze.AboveRange, "no level reaches "+what+": record stronger signals"
		p.Level.DB = highest
	case missing > math.Inf(-1):
		p.Status = analyze.TooFew
		p.Why = "the reading leaps from no tone to better than " + what + ": record a level between"
		if missing > lowest {
			p.Why = strongWithoutTone
		}
	default:
		p.Status, p.Why = analyze.BelowRange, "every level is better than "+what+": record weaker signals"
		p.Level.DB = lowest
	}
}
