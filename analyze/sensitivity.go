package analyze

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"hisspoint/analyze/internal/curve"
	"hisspoint/analyze/internal/scatter"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Sensitivity measures the recordings of a test, one for each of its takes in
// the same order, and finds the level at which the series crosses the criterion.
//
// Levels are those at the set: what the generator was set to less pad and cable.
// The crossing is found on the measured curve itself and never extrapolated; a
// row without a tone counts as worse than the criterion. The interval joins the
// scatter of the readings with the stated uncertainties of generator and pad,
// each taken as the half-width of a rectangular distribution (u = a/sqrt 3), as
// in ETSI TR 100 028, with the expansion k = 1.96.
//
// It fails if a recording cannot be read, or if the recordings do not belong
// into one series.
func Sensitivity(t job.Sensitivity, rs []capture.Recording) (SensitivityResult, error) {
	if len(rs) != len(t.Takes) {
		return SensitivityResult{Test: t}, fmt.Errorf("%d recordings for %d levels: give each recording one level", len(rs), len(t.Takes))
	}
	rows := make([]Row, len(rs))
	for i, r := range rs {
		m, err := Measure(r, t.How())
		if err != nil {
			return SensitivityResult{Test: t}, err
		}
		rows[i] = Row{Take: t.Takes[i], Measured: m}
	}
	return SensitivityOf(t, rows)
}

// SensitivityOf is Sensitivity on recordings that have been measured already,
// so that they can be measured on all cores. Each row needs Take and Measured.
func SensitivityOf(t job.Sensitivity, rows []Row) (SensitivityResult, error) {
	res := SensitivityResult{Test: t, Series: Series{Axis: "level", Unit: "dBm"}}
	rows = append([]Row(nil), rows...)
	scale, err := place(rows, t.Path)
	if err != nil {
		return res, err
	}
	res.Series.Unit = scale
	count := rows
	switch t.Criterion.Quantity {
	case job.QuantityQuieting:
		if err := quieting(rows, &res); err != nil {
			return res, err
		}
	case job.QuantitySNN:
		if count, err = signalNoise(rows, t); err != nil {
			return res, err
		}
	default:
		for i := range rows {
			rows[i].Worth = rows[i].Measured.Get(SINAD)
		}
	}
	// A carrier that drifts moves the tone of an SSB set.
	if t.Criterion.Quantity != job.QuantityQuieting && t.How().Mode != job.SSB {
		if err := oneTone(count); err != nil {
			return res, err
		}
	}
	res.Series.Rows = rows
	for i := range rows {
		if rows[i].Level.Scale == unit.Off && res.Hiss == nil {
			res.Hiss = &res.Series.Rows[i]
		}
	}
	res.Warnings = append(res.Warnings, doubtful(rows)...)
	res.Point = point(count, t, res.Hiss)
	return res, nil
}

// repeatsDiffer is by how much, in dB, two readings at one level may differ
// before it is said, if it is also beyond their scatter.
const repeatsDiffer = 1

// doubtful names repeats that contradict each other and readings too short to count.
func doubtful(rows []Row) []capture.Warning {
	var out []capture.Warning
	for i, a := range rows {
		if a.Level.Scale == unit.Off || !a.Worth.OK() {
			continue
		}
		if !a.Worth.HasInterval() {
			out = append(out, capture.Warning{Code: "too-short", Text: a.Take.File + " is too short for an interval and counts only if nothing better is there"})
			continue
		}
		for _, b := range rows[i+1:] {
			if b.Level != a.Level || !b.Worth.HasInterval() {
				continue
			}
			d := math.Abs(a.Worth.Value - b.Worth.Value)
			if d > math.Max(repeatsDiffer, 4*math.Hypot(standardError(a.Worth), standardError(b.Worth))) {
				out = append(out, capture.Warning{Code: "repeats-differ",
					Text: fmt.Sprintf("%s and %s have the same level but differ by %.1f dB: check which level was set", a.Take.File, b.Take.File, d)})
			}
		}
	}
	return out
}

// place gives each row its level at the set, puts the weakest first and tells the
// unit of the levels.
func place(rows []Row, path job.RFPath) (scale string, err error) {
	absolute, relative := "", ""
	scale = "dBm"
	for i := range rows {
		l := rows[i].Take.Level
		switch l.Scale {
		case unit.Absolute:
			absolute = rows[i].Take.File
			l = l.Add(-path.PadDB)
			if l.DB < -200 || l.DB > 60 {
				return scale, fmt.Errorf("%s: %.0f dBm at the set is no level of a bench: check the level and the pad of %g dB", absolute, l.DB, path.PadDB)
			}
		case unit.Relative:
			relative = rows[i].Take.File
			scale = "dB"
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

// sameTone is by how much, as a share, tones of one series may differ.
const sameTone = 0.01

// oneTone refuses recordings of different tones: they are of different tests.
func oneTone(rows []Row) error {
	hz, file := 0.0, ""
	for _, r := range rows {
		f := r.Measured.Get(ToneFrequency).Value
		if f == 0 {
			f = r.Measured.OtherTone
		}
		switch {
		case f == 0:
		case hz == 0:
			hz, file = f, r.Take.File
		case math.Abs(f/hz-1) > sameTone:
			return fmt.Errorf("%s has a tone of %.0f Hz and %s one of %.0f Hz: a series needs one tone at every level", r.Take.File, f, file, hz)
		}
	}
	return nil
}

// quieting sets each row's worth: by how much its noise lies below the hiss
// without a signal. Repeats of the hiss are averaged as powers.
func quieting(rows []Row, res *SensitivityResult) error {
	power, n := 0.0, 0
	for _, r := range rows {
		if r.Level.Scale == unit.Off {
			if h := r.Measured.Get(NoiseLevel); h.OK() {
				power += math.Pow(10, h.Value/10)
				n++
			}
		}
	}
	if n == 0 {
		return errors.New("quieting needs a recording with the generator off: name it off.wav or give the level off")
	}
	hiss := 10 * math.Log10(power/float64(n))
	for i := range rows {
		noise := rows[i].Measured.Get(NoiseLevel)
		tone := rows[i].Measured.Get(ToneLevel)
		w := none(job.QuantityQuieting, "dB", noise.Why)
		switch {
		case tone.OK():
			w = none(job.QuantityQuieting, "dB", "modulated: quieting needs a carrier without modulation")
		case noise.HasInterval():
			w = reading(job.QuantityQuieting, "dB", hiss-noise.Value, hiss-noise.High, hiss-noise.Low)
		case noise.OK():
			w = exact(job.QuantityQuieting, "dB", hiss-noise.Value, noise.NoInterval)
		}
		rows[i].Worth = w
	}
	return nil
}

// standardError is that of a reading whose 95 % interval is known.
func standardError(r Reading) float64 { return (r.High - r.Low) / 2 / scatter.Normal95 }

// point finds the crossing and its interval.
func point(rows []Row, t job.Sensitivity, hiss *Row) Point {
	var samples, loose []curve.Sample
	missing, noInterval := math.Inf(-1), ""
	scale, places, sure := unit.Absolute, map[float64]bool{}, map[float64]bool{}
	for _, r := range rows {
		if r.Level.Scale == unit.Off {
			continue
		}
		scale = r.Level.Scale
		places[r.Level.DB] = true
		switch {
		case !r.Worth.OK():
			missing = math.Max(missing, r.Level.DB)
		case !r.Worth.HasInterval():
			noInterval = r.Worth.NoInterval
			loose = append(loose, curve.Sample{X: r.Level.DB, Y: r.Worth.Value})
		default:
			sure[r.Level.DB] = true
			samples = append(samples, curve.Sample{X: r.Level.DB, Y: r.Worth.Value, S: standardError(r.Worth)})
		}
	}
	// A reading too short for an interval must not outweigh those that have one.
	if len(sure) >= 2 {
		noInterval = ""
	} else {
		samples = append(samples, loose...)
	}
	p := Point{Level: unit.Level{Scale: scale}}
	if len(places) < 2 {
		p.Status, p.Why = TooFew, "a point needs readings at two levels at least: record one more level on the other side of the criterion"
		return p
	}
	c, err := curve.Rising(samples, t.Criterion.Value)
	if err != nil {
		noPoint(&p, err, samples, missing, t)
		return p
	}
	if why, multiple := gap(samples, missing, c.X, t.Criterion); why != "" {
		p.Status, p.Why = TooFew, why
		if multiple {
			p.Status = Multiple
		}
		return p
	}
	p.Status, p.Slope = Found, c.Slope
	p.Level.DB = c.X
	between := math.Sqrt(math.Max(0, c.S*c.S-c.Own*c.Own))
	if hiss != nil && t.Criterion.Quantity == job.QuantityQuieting && c.Slope > 0 {
		// The hiss is the same in every row, so its error moves the whole series.
		if h := hiss.Measured.Get(NoiseLevel); h.HasInterval() {
			c.S = math.Hypot(c.S, standardError(h)/c.Slope)
		}
	}
	p.NoInterval = noInterval
	p.Shares = []Share{{ShareReadings, math.Sqrt(math.Max(0, c.S*c.S-between*between))}, {ShareBetween, between}}
	join95(&p, sides(rows, t.Criterion.Value, c), t.Path, scale)
	return p
}

// sides are the point's standard errors downwards and upwards. Few clicks leave a
// reading's interval longer on the side of less SINAD, which is that of a higher
// point. Each side follows to three quarters from that side of the readings and to one
// from both: the outermost ends of several readings seldom coincide, and simulated
// series show the truth beyond either end equally often then.
func sides(rows []Row, threshold float64, c curve.Crossing) [2]float64 {
	out := [2]float64{c.S, c.S}
	for side := range out {
		var samples []curve.Sample
		for _, r := range rows {
			if r.Level.Scale == unit.Off || !r.Worth.HasInterval() {
				continue
			}
			e := r.Worth.High - r.Worth.Value
			if side == 1 {
				e = r.Worth.Value - r.Worth.Low
			}
			samples = append(samples, curve.Sample{X: r.Level.DB, Y: r.Worth.Value, S: e / scatter.Normal95})
		}
		if one, err := curve.Rising(samples, threshold); err == nil && math.Abs(one.X-c.X) < c.S {
			own := (c.Own + 3*one.Own) / 4
			out[side] = math.Sqrt(math.Max(0, c.S*c.S-c.Own*c.Own) + own*own)
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
func join95(p *Point, side [2]float64, path job.RFPath, scale unit.Scale) {
	own := len(p.Shares) // those that the sides hold already
	if scale == unit.Absolute {
		if path.LevelUncertainty != nil {
			p.Shares = append(p.Shares, Share{"generator", *path.LevelUncertainty / math.Sqrt(3)})
		} else {
			p.NotStated = append(p.NotStated, "generator")
			p.Shares = append(p.Shares, Share{"generator", 0})
		}
		p.Shares = append(p.Shares, Share{"pad", path.PadUncertaintyDB / math.Sqrt(3)})
	}
	sum := 0.0
	for _, s := range p.Shares[own:] {
		sum += s.DB * s.DB
	}
	p.Low = p.Level.DB - scatter.Normal95*math.Sqrt(sum+side[0]*side[0])
	p.High = p.Level.DB + scatter.Normal95*math.Sqrt(sum+side[1]*side[1])
	if p.NoInterval != "" || !finite(p.High-p.Low) {
		p.Low, p.High = 0, 0
		if p.NoInterval == "" {
			p.NoInterval = "the readings give no interval"
		}
	}
}

// noPoint says why there is no crossing.
func noPoint(p *Point, err error, samples []curve.Sample, missing float64, t job.Sensitivity) {
	lowest, highest := math.Inf(1), missing
	for _, s := range samples {
		lowest = math.Min(lowest, s.X)
		highest = math.Max(highest, s.X)
	}
	what := t.Criterion.Label()
	switch {
	case errors.Is(err, curve.ErrMultiple) && len(samples) == 2:
		p.Status, p.Why = Multiple, what+" is met at the weaker level and not at the stronger: look whether the two were swapped"
	case errors.Is(err, curve.ErrMultiple):
		p.Status, p.Why = Multiple, what+" is crossed more than once: look for a wrong level, a fault or interference, and record the doubtful levels again"
	case len(samples) == 0 && t.Criterion.Quantity == job.QuantitySINAD:
		p.Status, p.Why = AboveRange, "no recording has the tone: check that the modulation was on and which tone it was (--tone)"
		p.Level.DB = highest
	case len(samples) == 0 || errors.Is(err, curve.ErrAbove) || (errors.Is(err, curve.ErrFew) && samples[0].Y < t.Criterion.Value):
		p.Status, p.Why = AboveRange, "no level reaches "+what+": record stronger signals"
		p.Level.DB = highest
	case missing > math.Inf(-1):
		p.Status = TooFew
		p.Why = "the reading leaps from no tone to better than " + what + ": record a level between"
		if missing > lowest {
			p.Why = strongWithoutTone
		}
	default:
		p.Status, p.Why = BelowRange, "every level is better than "+what+": record weaker signals"
		p.Level.DB = lowest
	}
}

// PickChannel chooses the channel that carries the tone: the one in which it
// stands clearest, or the loudest if none has it. The first of equal ones wins.
func PickChannel(channels []capture.Recording, how job.Reading) (int, error) {
	best, bestSINAD, bestLevel := 0, math.Inf(-1), math.Inf(-1)
	for i, r := range channels {
		if seconds := 10 * int64(r.Rate); r.Count > seconds {
			var err error
			if r, err = r.Cut((r.Count-seconds)/2, seconds); err != nil {
				return 0, err
			}
		}
		m, err := Measure(r, how)
		if err != nil {
			return 0, err
		}
		s, l := math.Inf(-1), math.Inf(-1)
		if x := m.Get(SINAD); x.OK() {
			s = x.Value
		}
		if x := m.Get(Level); x.OK() {
			l = x.Value
		}
		const clear = 0.1
		if s > bestSINAD+clear || (s == bestSINAD && l > bestLevel+clear) || i == 0 {
			best, bestSINAD, bestLevel = i, s, l
		}
	}
	return best, nil
}
