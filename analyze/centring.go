package analyze

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"hisspoint/analyze/internal/curve"
	"hisspoint/analyze/internal/scatter"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// Figures of a centring test.
const (
	Centre        = "centre"          // offset midway between those at which SINAD has fallen, Hz
	Displacement  = "displacement"    // the smaller of these two offsets, Hz
	EvenCentre    = "even_centre"     // offset at which the even harmonics are least, Hz
	OffCentreLoss = "off_centre_loss" // SINAD at the best offset less that at none, dB
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
func Centring(t job.Setup, rs []capture.Recording) (Result, error) {
	out := Result{Setup: t}
	var sinads, evens []spot
	for i, r := range rs {
		m, err := Measure(r, t.Reading)
		if err != nil {
			return Result{}, err
		}
		k := t.Takes[i]
		u := Used{Take: k, Label: "offset " + k.AtTyped, Measured: m, Worth: []Reading{m.Get(SINAD), m.Get(ToneLevel), m.Get(THD)}}
		if even := m.Kept.even(); even.OK() {
			u.Worth = append(u.Worth, even)
			evens = append(evens, spot{k.At, even})
		}
		sinads = append(sinads, spot{k.At, m.Get(SINAD)})
		out.Rows = append(out.Rows, u)
	}
	sort.SliceStable(sinads, func(i, j int) bool { return sinads[i].x < sinads[j].x })
	sort.SliceStable(evens, func(i, j int) bool { return evens[i].x < evens[j].x })
	best, ok := bestOf(sinads)
	if !ok || len(spots(sinads)) < 3 {
		return refused(t, "centring needs recordings with a tone at three offsets at least, on both sides", out.Rows...), nil
	}
	out.Figures = centreFigures(sinads, best)
	out.Figures = append(out.Figures, evenCentre(evens), lossAtNone(sinads, best))
	out.Lines = centringLines(out.Rows)
	out.Says = []string{fmt.Sprintf("SINAD is best at an offset of %.0f Hz.", best.x)}
	if out.Figures[2].OK() {
		out.Says = append(out.Says, "Even harmonics of the audio stages shift the offset at which they are least: it is the detector's middle only if these are much weaker.")
	}
	if out.Figures[0].Name == Centre && out.Figures[0].OK() && best.y.Value < displacedTo {
		out.Says = append(out.Says, "SINAD never reaches 12 dB, so the centre was taken 3 dB below its best.")
	}
	return out, nil
}

// evenPower is the power of the even harmonics, relative to the fundamental.
func evenPower(m Measured) (float64, bool) {
	if !m.Get(THD).OK() {
		return 0, false
	}
	even, _ := harmonicsApart(m.Harmonics)
	return even * even / 1e4, true
}

func bestOf(ps []spot) (best spot, ok bool) {
	for _, p := range ps {
		if p.y.OK() && (!ok || p.y.Value > best.y.Value) {
			best, ok = p, true
		}
	}
	return best, ok
}

// spots are the different places of an axis.
func spots(ps []spot) map[float64]bool {
	at := map[float64]bool{}
	for _, p := range ps {
		at[p.x] = true
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

func flanksOf(left, right []spot, threshold float64) (f flanks, ok bool) {
	var turned []spot
	for _, p := range right {
		turned = append(turned, spot{-p.x, p.y})
	}
	var whyLeft, whyRight string
	f.left, whyLeft = crossingOf(left, threshold)
	f.right, whyRight = crossingOf(turned, threshold)
	return f, whyLeft == "" && whyRight == "" && f.low() < f.high()
}

func (f flanks) low() float64  { return f.left.X }
func (f flanks) high() float64 { return -f.right.X }

// standard is the standard uncertainty of a crossing whose flank strays by so much.
func (f flanks) standard(c curve.Crossing, k float64) float64 {
	return math.Hypot(c.Own, math.Min(2*k*c.Span*c.Span/(f.high()-f.low()), c.Span/math.Sqrt(12)))
}

// middle is the centre of both.
func (f flanks) middle() Reading {
	at := (f.low() + f.high()) / 2
	h := scatter.Normal95 * math.Hypot(f.standard(f.left, centreStrays), f.standard(f.right, centreStrays)) / 2
	return reading(Centre, "Hz", at, at-h, at+h)
}

// nearer is the smaller of the two offsets.
func (f flanks) nearer() Reading {
	at, c := f.high(), f.right
	if -f.low() < at {
		at, c = -f.low(), f.left
	}
	h := scatter.Normal95 * f.standard(c, flankStrays)
	return reading(Displacement, "Hz", at, at-h, at+h)
}

// centreFigures are the centre and the displacement bandwidth.
func centreFigures(ps []spot, best spot) []Reading {
	threshold, twelve := float64(displacedTo), true
	if best.y.Value < displacedTo+0.5 {
		threshold, twelve = best.y.Value-3, false
	}
	var left, right []spot
	for _, p := range ps {
		if p.x <= best.x {
			left = append(left, p)
		}
		if p.x >= best.x {
			right = append(right, p)
		}
	}
	f, ok := flanksOf(left, right, threshold)
	if !ok {
		why := "SINAD does not fall far enough on both sides: record larger offsets"
		return []Reading{none(Centre, "Hz", why), none(Displacement, "Hz", why)}
	}
	switch {
	case !twelve:
		return []Reading{f.middle(), none(Displacement, "Hz", "SINAD never stands above 12 dB: use a level 6 dB above the sensitivity")}
	case f.low() >= 0 || f.high() <= 0:
		return []Reading{f.middle(), none(Displacement, "Hz", "the set does not reach 12 dB at no offset: it is off centre by more than its bandwidth")}
	}
	return []Reading{f.middle(), f.nearer()}
}

// evenCentre is the vertex of the parabola through the power of the least even
// harmonics and their neighbours. It has to stand out from both neighbours by more
// than the scatter; its interval follows from moving each of the three readings to
// the ends of its own.
func evenCentre(ps []spot) Reading {
	ps = slices.CompactFunc(slices.Clone(ps), func(a, b spot) bool { return a.x == b.x })
	least := -1
	for i, p := range ps {
		if least < 0 || p.y.Value < ps[least].y.Value {
			least = i
		}
	}
	if least < 1 || least+1 >= len(ps) {
		return none(EvenCentre, "Hz", "the even harmonics are least at the end of the series: record larger offsets")
	}
	three := ps[least-1 : least+2]
	power := func(percent float64) float64 { return percent * percent }
	var x, y [3]float64
	for i, p := range three {
		if !p.y.HasInterval() {
			return none(EvenCentre, "Hz", "the even harmonics have no interval there")
		}
		x[i], y[i] = p.x, power(p.y.Value)
	}
	if low := three[1].y.High; low >= three[0].y.Low || low >= three[2].y.Low {
		return none(EvenCentre, "Hz", "the even harmonics differ by no more than their scatter around their least: use a stronger signal, or longer recordings")
	}
	at := vertex(x, y)
	low, high := 0.0, 0.0
	for i, p := range three {
		for _, end := range []float64{p.y.Low, p.y.High} {
			moved := y
			moved[i] = power(end)
			if d := vertex(x, moved) - at; d < 0 {
				low = math.Hypot(low, d)
			} else {
				high = math.Hypot(high, d)
			}
		}
	}
	return reading(EvenCentre, "Hz", at, at-low, at+high)
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
func lossAtNone(ps []spot, best spot) Reading {
	for _, p := range ps {
		if p.x == 0 && p.y.OK() {
			if p.x == best.x {
				return exact(OffCentreLoss, "dB", 0, "it is the best offset")
			}
			c, _ := ChangeOf(p.y, best.y)
			c.Name = OffCentreLoss
			return c
		}
	}
	return none(OffCentreLoss, "dB", "there is no recording without an offset")
}

func centringLines(rows []Used) []Line {
	sinad := Line{Picture: "SINAD against offset", Name: "SINAD", Role: RoleCurve, X: Quantity{"offset", "Hz"}, Y: Quantity{"SINAD", "dB"}}
	even := Line{Picture: "even harmonics against offset", Name: "even harmonics", Role: RoleCurve, X: sinad.X, Y: Quantity{"even harmonics", "%"}}
	for _, u := range rows {
		if s := u.Measured.Get(SINAD); s.OK() {
			sinad.Points = append(sinad.Points, dotAt(u.Take.At, s))
		}
		if e, ok := evenPower(u.Measured); ok {
			y := 100 * math.Sqrt(e)
			even.Points = append(even.Points, Dot{u.Take.At, y, y, y})
		}
	}
	sortDots(sinad.Points)
	sortDots(even.Points)
	return []Line{sinad, even}
}

// dotAt is a reading as a point of a line.
func dotAt(x float64, r Reading) Dot {
	if !r.HasInterval() {
		return Dot{x, r.Value, r.Value, r.Value}
	}
	return Dot{x, r.Value, r.Low, r.High}
}
