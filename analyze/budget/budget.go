// Package budget joins the contributions to the uncertainty of a figure, after
// the GUM (JCGM 100) and ETSI TR 100 028: each is reduced to a standard
// uncertainty in dB, they add as root-sum-square, and the sum is expanded.
package budget

import "math"

// Coverage is the factor that expands a standard uncertainty to 95 % of a
// normal distribution (ETSI TR 100 028).
const Coverage = 1.96

// Ways in which a contribution was evaluated (GUM, 3.3.4).
const (
	TypeA = "A" // from the scatter of readings
	TypeB = "B" // from anything else: a data sheet, a calibration, experience
)

// Distributions of a contribution.
const (
	NormalShape      = "normal"
	RectangularShape = "rectangular"
	UShape           = "u-shaped"
	StandardShape    = "standard"  // stated as a standard uncertainty
	OneSidedShape    = "one-sided" // from nothing up to the half-width, in one direction only
)

// Contribution is one share of an uncertainty.
type Contribution struct {
	Name         string
	Type         string  // TypeA or TypeB
	Distribution string  // how the quantity is spread over the half-width
	HalfWidth    float64 // as stated, in Unit
	Unit         string  // of the half-width; empty is dB
	Divisor      float64 // takes the half-width to a standard uncertainty
	Sensitivity  float64 // dB of the result for one Unit of this quantity
	Towards      int     // one-sided: the true value may lie higher (+1) or lower (-1) than was read; 0: either way
	Card         bool    // it comes from the sound card, and is the same for all that one card recorded
	Bench        bool    // it comes from another instrument of the bench, and is the same in both rounds of a job
	Assumed      bool    // nobody stated it: it is what is usual for its kind of instrument
}

// Standard is the contribution's standard uncertainty in dB of the result.
func (c Contribution) Standard() float64 {
	if c.Divisor == 0 {
		return 0
	}
	return math.Abs(c.HalfWidth / c.Divisor * c.Sensitivity)
}

// Rectangular is a tolerance of +-halfWidth dB within which nothing is more
// likely than anything else: u = halfWidth / sqrt 3.
func Rectangular(name string, halfWidth float64) Contribution {
	return Contribution{Name: name, Type: TypeB, Distribution: RectangularShape, HalfWidth: halfWidth, Divisor: math.Sqrt(3), Sensitivity: 1}
}

// Normal is an expanded uncertainty of so many dB with its coverage factor,
// such as a calibration certificate states: u = expanded / k.
func Normal(name string, expanded, k float64) Contribution {
	return Contribution{Name: name, Type: TypeB, Distribution: NormalShape, HalfWidth: expanded, Divisor: k, Sensitivity: 1}
}

// OneSided is an effect of known direction that is not corrected: the true value
// lies from nothing to bound above what was read (towards +1) or below it (-1). A
// root-sum-square would let the truth out of the interval wherever the effect is
// there in full, so it is added to the expanded uncertainty on its side as it is
// (GUM, F.2.4.5: a correction that is not made enlarges the uncertainty by its
// amount; ISO/TS 14253-2 adds such a bias linearly; both from memory).
func OneSided(name string, bound float64, towards int) Contribution {
	return Contribution{Name: name, Type: TypeB, Distribution: OneSidedShape, HalfWidth: bound, Divisor: 1, Sensitivity: 1, Towards: towards}
}

// UShaped is a line of known size and unknown phase beside the one that is read,
// as of two voltages of one frequency: u = halfWidth / sqrt 2.
func UShaped(name string, halfWidth float64) Contribution {
	return Contribution{Name: name, Type: TypeB, Distribution: UShape, HalfWidth: halfWidth, Divisor: math.Sqrt2, Sensitivity: 1}
}

// Scatter is a standard uncertainty in dB that comes from readings.
func Scatter(name string, standard float64) Contribution {
	return Contribution{Name: name, Type: TypeA, Distribution: StandardShape, HalfWidth: standard, Divisor: 1, Sensitivity: 1}
}

// voltagePercentOfDB is by how much 1 dB changes a voltage, in percent, as
// ETSI TR 100 028 rounds 100 ln(10)/20.
const voltagePercentOfDB = 11.5

// Mismatch is the contribution of two imperfect terminations with a two-port
// between them, from the magnitudes of their reflection factors g1 and g2 and of
// the transmission there and back, s21 and s12 (1 if they meet directly). The
// phases are unknown, so the error is U-shaped:
//
//	u = g1 g2 s21 s12 * 100 / (sqrt 2 * 11.5) dB
//
// (ETSI TR 100 028). Domain: all factors from 0 to 1.
func Mismatch(name string, g1, g2, s21, s12 float64) Contribution {
	return Contribution{Name: name, Type: TypeB, Distribution: UShape, HalfWidth: 100 * g1 * g2 * s21 * s12, Unit: "% of voltage",
		Divisor: math.Sqrt2, Sensitivity: 1 / voltagePercentOfDB}
}

// DeviationPercent is the contribution of a modulation whose deviation is known
// to +-percent. Recovered audio follows deviation, so SINAD moves by
// 20 log10(1 + percent/100) dB (10 % is 0.83 dB), and the level at which it
// crosses the criterion by that over the slope of the curve, in dB of SINAD
// for one dB of RF. Domain: percent >= 0, slope > 0.
func DeviationPercent(name string, percent, slope float64) Contribution {
	return Contribution{Name: name, Type: TypeB, Distribution: RectangularShape, HalfWidth: 20 * math.Log10(1+percent/100), Unit: "dB of SINAD",
		Divisor: math.Sqrt(3), Sensitivity: 1 / slope}
}

// Budget is the contributions to one figure; they count as independent.
type Budget []Contribution

// Combined is the combined standard uncertainty in dB: the root-sum-square of all
// that may err either way.
func (b Budget) Combined() float64 {
	sum := 0.0
	for _, c := range b {
		if c.Towards != 0 {
			continue
		}
		u := c.Standard()
		sum += u * u
	}
	return math.Sqrt(sum)
}

// Expanded is the uncertainty in dB that covers 95 %: 1.96 times the combined one.
func (b Budget) Expanded() float64 { return Coverage * b.Combined() }

// Beyond is what one-sided contributions add to the ends of the interval, upwards
// and downwards, beyond the expanded uncertainty.
func (b Budget) Beyond() (up, down float64) {
	for _, c := range b {
		switch v := c.Standard(); {
		case c.Towards > 0:
			up += v
		case c.Towards < 0:
			down += v
		}
	}
	return up, down
}

// Repeatability is what the readings themselves scatter by, expanded: how far another
// measurement on the same bench may lie off.
func (b Budget) Repeatability() float64 {
	var own Budget
	for _, c := range b {
		if c.Type == TypeA {
			own = append(own, c)
		}
	}
	return own.Expanded()
}

// counts is the share of the variance from which on a contribution is worth a word.
const counts = 0.01

// Assumed are the contributions that nobody stated and that make a hundredth of the
// variance at least.
func (b Budget) Assumed() (of Budget) {
	all := b.Combined()
	for _, c := range b {
		if u := c.Standard(); c.Assumed && u*u > counts*all*all {
			of = append(of, c)
		}
	}
	return of
}

// OfCard are the contributions of the sound card.
func (b Budget) OfCard() (of Budget) {
	for _, c := range b {
		if c.Card {
			of = append(of, c)
		}
	}
	return of
}
