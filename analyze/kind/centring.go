package kind

import (
	"math"
	"slices"
	"sort"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/curve"
	"hisspoint/analyze/internal/scatter"
	"hisspoint/analyze/parts"
	"hisspoint/analyze/point"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// displacedTo is the SINAD at which a displaced signal still counts as heard:
// the signal stands 6 dB above the sensitivity, and is displaced until 12 dB is
// left (signal displacement bandwidth as land-mobile standards define it; from
// memory).
const displacedTo = 12

// Centring is a series over the offset of the generator's frequency at one level.
// The centre is the middle of the two offsets, one on each side, at which SINAD
// has come down to 12 dB, or, if it never does, to 3 dB below its best; the
// displacement bandwidth is the smaller of the two. The even harmonics, least where
// the detector stands on its middle, give a centre of their own: the vertex of a
// parabola through their power at the least place and its neighbours. Speaker
// audio holds no DC, so the detector's DC is a meter reading.
func Centring(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	out := analyze.Result{Setup: t}
	var sinads, evens []point.Spot
	rows, why, err := takes.Gather(t, rs, steppedIn(t))
	if err != nil {
		return analyze.Result{}, err
	}
	if why != "" {
		return analyze.Refused(t, why, rows...), nil
	}
	for _, u := range rows {
		k, m := u.Take, u.Measured
		u.Label, u.Worth = "offset "+k.AtTyped, []analyze.Reading{m.Get(analyze.SINAD), m.Get(analyze.ToneLevel), m.Get(analyze.THD)}
		if even := m.Kept.Even(); even.OK() {
			u.Worth = append(u.Worth, even)
			evens = append(evens, point.Spot{X: k.At, Y: even})
		}
		sinads = append(sinads, point.Spot{X: k.At, Y: m.Get(analyze.SINAD)})
		out.Rows = append(out.Rows, u)
	}
	sort.SliceStable(sinads, func(i, j int) bool { return sinads[i].X < sinads[j].X })
	sort.SliceStable(evens, func(i, j int) bool { return evens[i].X < evens[j].X })
	best, ok := bestOf(sinads)
	if !ok || len(spots(sinads)) < 3 {
		return analyze.Refused(t, "centring needs recordings with a tone at three offsets at least, on both sides", out.Rows...), nil
	}
	out.Figures = centreFigures(sinads, best)
	out.Figures = append(out.Figures, evenCentre(evens), lossAtNone(sinads, best))
	out.Lines = centringLines(out.Rows)
	out.Says = []note.Note{note.Of("best-offset", note.Hz(best.X))}
	if out.Figures[2].OK() {
		out.Says = append(out.Says, note.Phrase("Even harmonics of the audio stages shift the offset at which they are least: it is the detector's middle only if these are much weaker."))
	}
	if out.Figures[0].Name == job.FigureCentre && out.Figures[0].OK() && best.Y.Value < displacedTo {
		out.Says = append(out.Says, note.Phrase("SINAD never reaches 12 dB, so the centre was taken 3 dB below its best."))
	}
	return out, nil
}

// steppedIn finds the stretches of one file in which something was stepped through the
// places that a test lists; nil: each place has its own recording.
func steppedIn(t job.Setup) func(t job.Setup, r capture.Recording) ([]analyze.Used, error) {
	if !t.OneFile {
		return nil
	}
	return takes.SteppedBy(parts.Steps)
}

// evenPower is the power of the even harmonics, relative to the fundamental.
func evenPower(m analyze.Measured) (float64, bool) {
	if !m.Get(analyze.THD).OK() {
		return 0, false
	}
	even, _ := analyze.HarmonicsApart(m.Harmonics)
	return even * even / 1e4, true
}

func bestOf(ps []point.Spot) (best point.Spot, ok bool) {
	for _, p := range ps {
		if p.Y.OK() && (!ok || p.Y.Value > best.Y.Value) {
			best, ok = p, true
		}
	}
	return best, ok
}

// spots are the different places of an axis.
func spots(ps []point.Spot) map[float64]bool {
	at := map[float64]bool{}
	for _, p := range ps {
		at[p.X] = true
	}
	return at
}

// How far the flank of an IF filter may stray from the curve drawn through two readings
// h apart, as a standard uncertainty of the offset at which it is crossed: k h^2/w, where
// w is half the width between both crossings, and no more than a place anywhere between
// the two has, h/sqrt 12. A flank is as steep against the filter's width whatever that
// is, and a curve through closer places misses it by the square. Both flanks are missed
// alike, outwards or inwards, which moves the middle less. Found on FM receivers with
// filters of 2 to 8 poles, 7.5 to 12 kHz wide (Monte Carlo of an ideal
// limiter-discriminator, testdata/scipy).
const (
	flankStrays  = 0.55 // k of one flank
	centreStrays = 0.3  // k of each flank in the middle of both
)

// flanks are where a series over offset crosses a threshold on both sides of its best.
type flanks struct{ left, right curve.Crossing } // the axis of the right one is turned round

func flanksOf(left, right []point.Spot, threshold float64) (f flanks, ok bool) {
	var turned []point.Spot
	for _, p := range right {
		turned = append(turned, point.Spot{X: -p.X, Y: p.Y})
	}
	var whyLeft, whyRight string
	f.left, whyLeft = point.Crossing(left, threshold)
	f.right, whyRight = point.Crossing(turned, threshold)
	return f, whyLeft == "" && whyRight == "" && f.low() < f.high()
}

func (f flanks) low() float64 { return f.left.X }

func (f flanks) high() float64 { return -f.right.X }

// standard is the standard uncertainty of a crossing whose flank strays by so much.
func (f flanks) standard(c curve.Crossing, k float64) float64 {
	return math.Hypot(c.Own, math.Min(2*k*c.Span*c.Span/(f.high()-f.low()), c.Span/math.Sqrt(12)))
}

// middle is the centre of both.
func (f flanks) middle() analyze.Reading {
	at := (f.low() + f.high()) / 2
	h := scatter.Normal95 * math.Hypot(f.standard(f.left, centreStrays), f.standard(f.right, centreStrays)) / 2
	return analyze.NewReading(job.FigureCentre, "Hz", at, at-h, at+h)
}

// nearer is the smaller of the two offsets.
func (f flanks) nearer() analyze.Reading {
	at, c := f.high(), f.right
	if -f.low() < at {
		at, c = -f.low(), f.left
	}
	h := scatter.Normal95 * f.standard(c, flankStrays)
	return analyze.NewReading(job.FigureDisplacement, "Hz", at, at-h, at+h)
}

// centreFigures are the centre and the displacement bandwidth.
func centreFigures(ps []point.Spot, best point.Spot) []analyze.Reading {
	threshold, twelve := float64(displacedTo), true
	if best.Y.Value < displacedTo+0.5 {
		threshold, twelve = best.Y.Value-3, false
	}
	var left, right []point.Spot
	for _, p := range ps {
		if p.X <= best.X {
			left = append(left, p)
		}
		if p.X >= best.X {
			right = append(right, p)
		}
	}
	f, ok := flanksOf(left, right, threshold)
	if !ok {
		const why = "SINAD does not fall far enough on both sides: record larger offsets"
		return []analyze.Reading{analyze.None(job.FigureCentre, "Hz", why), analyze.None(job.FigureDisplacement, "Hz", why)}
	}
	switch {
	case !twelve:
		return []analyze.Reading{f.middle(), analyze.None(job.FigureDisplacement, "Hz", "SINAD never exceeds 12 dB: use a level 6 dB above the sensitivity")}
	case f.low() >= 0 || f.high() <= 0:
		return []analyze.Reading{f.middle(), analyze.None(job.FigureDisplacement, "Hz", "the set does not reach 12 dB at no offset: it is off centre by more than its bandwidth")}
	}
	return []analyze.Reading{f.middle(), f.nearer()}
}

// evenCentre is the vertex of the parabola through the power of the least even
// harmonics and their neighbours. It has to stand out from both neighbours by more
// than the scatter; its interval follows from moving each of the three readings to
// the ends of its own.
func evenCentre(ps []point.Spot) analyze.Reading {
	ps = slices.CompactFunc(slices.Clone(ps), func(a, b point.Spot) bool { return a.X == b.X })
	least := -1
	for i, p := range ps {
		if least < 0 || p.Y.Value < ps[least].Y.Value {
			least = i
		}
	}
	if least < 1 || least+1 >= len(ps) {
		return analyze.None(job.FigureEvenCentre, "Hz", "the even harmonics are least at the end of the series: record larger offsets")
	}
	three := ps[least-1 : least+2]
	power := func(percent float64) float64 { return percent * percent }
	var x, y [3]float64
	for i, p := range three {
		if !p.Y.HasInterval() {
			return analyze.None(job.FigureEvenCentre, "Hz", "the even harmonics have no interval there")
		}
		x[i], y[i] = p.X, power(p.Y.Value)
	}
	if low := three[1].Y.High; low >= three[0].Y.Low || low >= three[2].Y.Low {
		return analyze.None(job.FigureEvenCentre, "Hz", "the even harmonics differ by no more than their scatter around their least: use a stronger signal, or longer recordings")
	}
	at := vertex(x, y)
	low, high := 0.0, 0.0
	for i, p := range three {
		for _, end := range []float64{p.Y.Low, p.Y.High} {
			moved := y
			moved[i] = power(end)
			if d := vertex(x, moved) - at; d < 0 {
				low = math.Hypot(low, d)
			} else {
				high = math.Hypot(high, d)
			}
		}
	}
	return analyze.NewReading(job.FigureEvenCentre, "Hz", at, at-low, at+high)
}

// vertex is the place at which the parabola through three points is least.
func vertex(x, y [3]float64) float64 {
	l, r := (y[1]-y[0])/(x[1]-x[0]), (y[2]-y[1])/(x[2]-x[1])
	bend := (r - l) / (x[2] - x[0])
	// The slope at the middle place, by the parabola, over twice the bend.
	slope := l + bend*(x[1]-x[0])
	return x[1] - slope/(2*bend)
}

// lossAtNone is what is lost at no offset against the best one.
func lossAtNone(ps []point.Spot, best point.Spot) analyze.Reading {
	for _, p := range ps {
		if p.X == 0 && p.Y.OK() {
			if p.X == best.X {
				return analyze.Exact(job.FigureOffCentreLoss, "dB", 0, "it is the best offset")
			}
			c, _ := analyze.ChangeOf(p.Y, best.Y)
			c.Name = job.FigureOffCentreLoss
			return c
		}
	}
	return analyze.None(job.FigureOffCentreLoss, "dB", "there is no recording without an offset")
}

func centringLines(rows []analyze.Used) []analyze.Line {
	sinad := analyze.Line{Picture: "SINAD against offset", Name: "SINAD", Role: analyze.RoleCurve, X: analyze.Quantity{Name: "offset", Unit: "Hz"}, Y: analyze.Quantity{Name: "SINAD", Unit: "dB"}}
	even := analyze.Line{Picture: "even harmonics against offset", Name: "even harmonics", Role: analyze.RoleCurve, X: sinad.X, Y: analyze.Quantity{Name: "even harmonics", Unit: "%"}}
	for _, u := range rows {
		if s := u.Measured.Get(analyze.SINAD); s.OK() {
			sinad.Points = append(sinad.Points, dotAt(u.Take.At, s))
		}
		if e, ok := evenPower(u.Measured); ok {
			y := 100 * math.Sqrt(e)
			even.Points = append(even.Points, analyze.Dot{X: u.Take.At, Y: y, Low: y, High: y})
		}
	}
	sortDots(sinad.Points)
	sortDots(even.Points)
	return []analyze.Line{sinad, even}
}

// dotAt is a reading as a point of a line.
func dotAt(x float64, r analyze.Reading) analyze.Dot {
	if !r.HasInterval() {
		return analyze.Dot{X: x, Y: r.Value, Low: r.Value, High: r.Value}
	}
	return analyze.Dot{X: x, Y: r.Value, Low: r.Low, High: r.High}
}

// sortDots puts points in the order of X.
func sortDots(ds []analyze.Dot) {
	sort.SliceStable(ds, func(i, j int) bool { return ds[i].X < ds[j].X })
}
